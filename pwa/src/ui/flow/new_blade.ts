import { signal } from "@preact/signals";
import { EngineRefusal } from "../../actions/ask.ts";
import type { Kept } from "../../actions/keep.ts";
import { askCard, makeCard, newPiece } from "../../actions/pieces.ts";
import type { Body, Card } from "../../engine/types.ts";
import type { OpenBlade } from "../../state/blades.ts";
import { go } from "../../state/route.ts";
import { thingsOf } from "../../state/shop.ts";
import { shownText, storedNumber } from "./check.ts";
import { endForm, type Form, formFor, setValues, textIn } from "./form.ts";

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

/** The blade whose plan is being changed; null for a new one. */
export const changing = signal<{ readonly piece_id: string; readonly entry_id: string } | null>(null);

const TEXTS = ["steel", "heat_source", "oven_kind", "soft_tang"];

/** Change a plan: the form begins with the facts of the card that it will replace. */
export function changePlan(blade: OpenBlade): void {
  const { card } = blade;
  if (!card) return;
  const facts = card.card.facts;
  const form = newBladeForm();
  const [bath] = (facts.quench as readonly Body[] | undefined) ?? [];
  const texts = TEXTS.map((name) => [name, String(facts[name] ?? "")] as const);
  const numbers = [...NUMBERS, "cycles", "temper_cycles"].map((name) => [name, shownText(name, facts[name])] as const);
  const flags = FLAGS.map((name) => [name, facts[name] === true ? "yes" : ""] as const);
  setValues(form, {
    ...Object.fromEntries([...texts, ...numbers, ...flags]),
    tag: blade.tag,
    medium: String(bath?.medium ?? ""),
    bath_c: shownText("bath_c", bath?.bath_c),
  });
  changing.value = { piece_id: blade.piece_id, entry_id: card.entry_id };
  cardPreview.value = null;
  go("new");
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

function keepPlan(form: Form, card: Card): Promise<Kept> {
  const plan = changing.value;
  if (plan) return makeCard(plan.piece_id, card, plan.entry_id);
  const name = textIn(form, "name").trim();
  return newPiece({ tag: textIn(form, "tag").trim(), ...(name ? { name } : {}) }, card);
}

/** Keep blade and card, both or none, or the card that replaces an earlier one; then open the blade. */
export function keepCard(form: Form, card: Card): void {
  void keepPlan(form, card).then((made) => {
    if (!made.kept) return;
    leaveNew(form);
    go("blade", made.log_id);
  });
}

/** Kept or given up: the next new blade starts afresh. */
export function leaveNew(form: Form): void {
  endForm(form);
  cardPreview.value = null;
  changing.value = null;
}
