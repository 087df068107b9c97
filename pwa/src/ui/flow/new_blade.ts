import { paper } from "virtual:words";
import { signal } from "@preact/signals";
import { ask, EngineRefusal } from "../../actions/ask.ts";
import type { Kept } from "../../actions/keep.ts";
import { askCard, askPictures, lastFacts, makeCard, type NewPiece, newPiece } from "../../actions/pieces.ts";
import type { Body, Card, CardPictures, Note } from "../../engine/types.ts";
import { blades, type OpenBlade } from "../../state/blades.ts";
import { go } from "../../state/route.ts";
import type { Thing } from "../../state/shop.ts";
import { shownText } from "./check.ts";
import { endForm, type Form, formFor, padForm, setValue, setValues, textIn, type Values } from "./form.ts";
import { keptAnswer } from "./kept_answer.ts";
import { cardFacts, countOf, NAMES, paperOf, unclear } from "./plan_facts.ts";

/** The card as it would be; null until the facts were asked about. */
export const cardPreview = signal<Card | null>(null);
export const asking = signal(false);
/** The card's pictures; null while they are being worked out. */
export const pictures = signal<CardPictures | null>(null);

export function newBladeForm(): Form {
  return formFor("new", (paper as { readonly new_blade: Values }).new_blade);
}

/** The blade whose plan is being changed; null for a new one. */
export const changing = signal<{ readonly piece_id: string; readonly entry_id: string } | null>(null);

/** Fill in the facts of a card; what that card did not say is emptied. */
function fill(form: Form, facts: Body): void {
  const emptied = Object.keys(form.values.value).filter((name) => !NAMES.includes(name));
  setValues(form, { ...Object.fromEntries(emptied.map((name) => [name, ""])), ...paperOf(facts) });
}

/** Change a plan: the form begins with the facts of the card that it will replace. */
export function changePlan(blade: OpenBlade): void {
  const { card } = blade;
  if (!card) return;
  const form = newBladeForm();
  fill(form, card.card.facts);
  setValue(form, "tag", blade.tag);
  changing.value = { piece_id: blade.piece_id, entry_id: card.entry_id };
  cardPreview.value = null;
  go("new");
}

/** What the newest blade of the chosen steel was made with, offered for the next one. */
export const asLast = signal<Body | null>(null);

export function chooseSteel(form: Form, steel: string): void {
  setValue(form, "steel", steel);
  asLast.value = null;
  void lastFacts(steel).then((facts) => {
    if (textIn(form, "steel") === steel) asLast.value = facts;
  });
}

export function takeLast(form: Form, facts: Body): void {
  fill(form, facts);
  asLast.value = null;
}

interface Place {
  readonly batch: string | null;
  readonly letter: string | null;
}

const { read } = keptAnswer<Place>("batch_offer");

const inBatches = (): readonly Body[] =>
  blades.value.flatMap(({ piece_id: log_id, fold }) =>
    fold?.batch ? [{ log_id, batch: fold.batch, letter: fold.letter, state: fold.state.id }] : [],
  );

/** The batch that is open and its next letter, to take with one press. */
export function offeredBatch(): Place | null {
  const rows = inBatches();
  return read(rows.length > 0 ? JSON.stringify(rows) : null, () => ({ blades: rows }));
}

const edgePlan = keptAnswer<{ readonly text: Note }>("edge_plan", true);

/** What the edge is to be left thick for, by what is on the paper so far; null until a steel is chosen. */
export function edgeText(form: Form): Note | null {
  const { steel, steels, composition, cycles, quench, clay } = cardFacts(form);
  const dips = (quench as readonly Body[]).map(({ medium }) => ({ medium }));
  const facts = { steel, steels, composition, cycles, quench: dips, clay };
  const answer = edgePlan.read(steel || steels ? JSON.stringify(facts) : null, () => facts);
  return answer?.text ?? null;
}

const BATH_NUMBERS = ["litres", "flash_c", "low_c", "high_c"];

/** Take a bath's facts from the shop; the same bath again lets go of it. */
export function chooseBath(form: Form, { fold }: Thing): void {
  const off = textIn(form, "bath.name") === fold.name;
  const of = (name: string) => (off ? "" : shownText(`bath.${name}`, fold.facts[name]));
  setValues(form, {
    ...Object.fromEntries(BATH_NUMBERS.map((name) => [`bath.${name}`, of(name)])),
    "bath.name": off ? "" : (fold.name ?? ""),
    "quench.0.medium": String(fold.facts.medium ?? textIn(form, "quench.0.medium")),
  });
}

/** One more row of a list, or one less; a row that goes leaves nothing behind. */
export function lengthen(form: Form, list: string, by: number): void {
  const count = countOf(form, list);
  const gone = Object.keys(form.values.value).filter((path) => path.startsWith(`${list}.${count + by}.`));
  setValues(form, { ...Object.fromEntries(gone.map((path) => [path, ""])), [list]: String(count + by) });
}

/** Show the field that stands in the way, opening what it is folded into. */
export function showTrouble(): void {
  requestAnimationFrame(() => {
    const trouble = document.querySelector("main .refused, main .ask-back");
    for (let fold = trouble?.closest("details"); fold; fold = fold.parentElement?.closest("details")) fold.open = true;
    trouble?.scrollIntoView({ block: "center" });
  });
}

function missing(form: Form): boolean {
  const needed = ["tag", "steel"].find((name) => textIn(form, name).trim() === "");
  if (needed) form.missing.value = needed;
  return needed !== undefined;
}

function drawPictures(card: Card): void {
  pictures.value = null;
  void askPictures(card.facts).then((drawn) => {
    if (cardPreview.value === card) pictures.value = drawn;
  });
}

/** Ask the engine for the card; a refusal goes to its field. */
export function previewCard(form: Form): void {
  form.refusal.value = null;
  if (missing(form) || unclear(form)) {
    showTrouble();
    return;
  }
  asking.value = true;
  const { batch, letter } = namesIn(form);
  void Promise.all([askCard(cardFacts(form)), ask<Place>("batch_offer", { blades: inBatches(), batch, letter })])
    .then(
      ([card, place]) => {
        if (batch) setValue(form, "letter", place.letter ?? "");
        cardPreview.value = card;
        padForm.value = null;
        globalThis.scrollTo?.(0, 0);
        drawPictures(card);
      },
      (problem: unknown) => {
        if (!(problem instanceof EngineRefusal)) throw problem;
        form.refusal.value = problem.refusal;
        showTrouble();
      },
    )
    .finally(() => {
      asking.value = false;
    });
}

/** What the blade is called, and its place in a batch; what was left empty is left out. */
function namesIn(form: Form): NewPiece {
  const typed = NAMES.map((name) => [name, textIn(form, name).trim()]);
  return Object.fromEntries(typed.filter(([, text]) => text));
}

function keepPlan(form: Form, card: Card): Promise<Kept> {
  const plan = changing.value;
  if (plan) return makeCard(plan.piece_id, card, plan.entry_id);
  return newPiece(namesIn(form), card);
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
  asLast.value = null;
}
