import { signal } from "@preact/signals";
import { EngineRefusal } from "../../actions/ask.ts";
import { askCard, newPiece } from "../../actions/pieces.ts";
import type { Body, Card } from "../../engine/types.ts";
import { go } from "../../state/route.ts";
import { thingsOf } from "../../state/shop.ts";
import { storedNumber } from "./check.ts";
import { endForm, type Form, formFor, textIn } from "./form.ts";

/** The card as it would be; null until the facts were asked about. */
export const cardPreview = signal<Card | null>(null);
export const asking = signal(false);

export function newBladeForm(): Form {
  return formFor("new", {
    cycles: "3",
    heat_source: "kiln",
    oven_kind: "kiln",
    temper_cycles: "2",
    soft_tang: "kept_out",
    medium: "fast_oil",
    hard_kind: "whole",
  });
}

const NUMBERS = ["thickness_mm", "edge_mm", "length_mm", "width_mm", "target_hrc", "bolster_mm"];
const FLAGS = ["stress_relief", "double_edge", "clay", "notch"];

function bathFacts(form: Form): Body | null {
  const bath = thingsOf("bath").find(({ log_id }) => log_id === textIn(form, "bath"));
  if (!bath) return null;
  const wanted = ["litres", "flash_c", "low_c", "high_c"];
  const known = wanted.filter((name) => typeof bath.fold.facts[name] === "number");
  return {
    name: bath.fold.name ?? textIn(form, "medium"),
    ...Object.fromEntries(known.map((name) => [name, bath.fold.facts[name]])),
  };
}

function quenchFacts(form: Form): Body {
  const bath_c = storedNumber(form, "bath_c");
  return { medium: textIn(form, "medium"), ...(bath_c === undefined ? {} : { bath_c }) };
}

function couponFacts(form: Form): Body | null {
  const thickness_mm = storedNumber(form, "coupon_thickness_mm");
  return thickness_mm === undefined ? null : { thickness_mm, medium: textIn(form, "medium") };
}

/** The facts as make_card takes them; what was left empty is left out. */
export function cardFacts(form: Form): Body {
  const facts: Record<string, unknown> = {
    steel: textIn(form, "steel"),
    cycles: Number(textIn(form, "cycles")),
    temper_cycles: Number(textIn(form, "temper_cycles")),
    soft_tang: textIn(form, "soft_tang"),
    heat_source: textIn(form, "heat_source"),
    oven_kind: textIn(form, "oven_kind"),
    quench: [quenchFacts(form)],
  };
  for (const name of NUMBERS) {
    const value = storedNumber(form, name);
    if (value !== undefined) facts[name] = value;
  }
  for (const name of FLAGS) if (textIn(form, name) === "yes") facts[name] = true;
  const bath = bathFacts(form);
  if (bath) facts.bath = bath;
  const coupon = couponFacts(form);
  if (coupon) facts.coupon = coupon;
  return facts;
}

/** Ask the engine for the card; a refusal goes to its field. */
export function previewCard(form: Form): void {
  const needed = ["tag", "steel"].find((name) => textIn(form, name).trim() === "");
  if (needed) {
    form.missing.value = needed;
    return;
  }
  asking.value = true;
  form.refusal.value = null;
  void askCard(cardFacts(form))
    .then(
      (card) => {
        cardPreview.value = card;
        globalThis.scrollTo?.(0, 0);
      },
      (problem: unknown) => {
        if (!(problem instanceof EngineRefusal)) throw problem;
        form.refusal.value = problem.refusal;
      },
    )
    .finally(() => {
      asking.value = false;
    });
}

/** Keep blade and card, both or none, then open the blade. */
export function keepCard(form: Form, card: Card): void {
  const name = textIn(form, "name").trim();
  const piece = { tag: textIn(form, "tag").trim(), ...(name ? { name } : {}) };
  void newPiece(piece, card).then((made) => {
    if (!made.kept) return;
    endForm(form);
    cardPreview.value = null;
    go("blade", made.log_id);
  });
}
