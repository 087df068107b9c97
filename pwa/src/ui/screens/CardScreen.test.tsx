import { cleanup, render, screen } from "@testing-library/preact";
import { afterEach, expect, it } from "vitest";
import type { Card, CardOffer } from "../../engine/types.ts";
import { type OpenBlade, openBlade } from "../../state/blades.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { placed } from "../../testing/fresh_store.ts";
import { offered } from "../flow/log_pictures.ts";
import { say, words } from "../say.ts";
import { CardScreen } from "./CardScreen.tsx";

const planned = (steel: string): Card => ({
  card_version: 1,
  facts: { steel },
  steel: {},
  dissolved_carbon_pct: { value: 0.7, unit: "pct", low: 0.6, high: 0.8, coverage: 0.9, sources: [], notes: [] },
  numbers: [],
  verdict: { key: `say:${steel}` },
  verdict_notes: [],
  flags: [],
  warnings: [],
  steps: [],
  limits: {},
});

const opened = (earlier: readonly Card[]): OpenBlade => ({
  piece_id: "piece-1",
  tag: "QF-102",
  fold: foldAnswer(),
  entries: [],
  card: { entry_id: "now", card: planned("1084") },
  earlier_cards: earlier.map((card, at) => ({ entry_id: `earlier-${at}`, card })),
  only_here: new Set(),
  folding: false,
});

afterEach(cleanup);

it("keeps the plan that was changed, folded away under the one in force", () => {
  openBlade.value = opened([planned("1075")]);
  render(<CardScreen piece_id="piece-1" />);
  const earlier = screen.getByText(say("card.earlier")).closest("details");
  expect(earlier?.open).toBe(false);
  expect(earlier?.textContent).toContain("1075");
});

it("has nothing of the kind where no plan was changed", () => {
  openBlade.value = opened([]);
  render(<CardScreen piece_id="piece-1" />);
  expect(screen.queryByText(say("card.earlier"))).toBeNull();
});

const offer: CardOffer = {
  log_id: "piece-1",
  text: { key: "offer.offered" },
  line: null,
  actions: [
    { do: "card_made", label: { key: "offer.take" }, hold: false, kind: "plain" },
    { do: "choice", choice: "card_left", label: { key: "offer.leave" }, hold: false, kind: "plain" },
  ],
  refusal: null,
  pictures: [],
  tables: [],
};

function showOffer(of: CardOffer): void {
  openBlade.value = { ...opened([]), entries: [placed({ id: "now" })] };
  offered.answer.value = of;
  render(<CardScreen piece_id="piece-1" />);
}

it("offers the newer card to take or to leave, and never opens it by itself", () => {
  showOffer(offer);
  const shown = screen.getByText(words({ key: "offer.offered" })).closest("details");
  expect(shown?.open).toBe(false);
  expect(shown?.textContent).toContain(words({ key: "offer.take" }));
  expect(shown?.textContent).toContain(words({ key: "offer.leave" }));
});

it("says in words which of the old facts this version does not take, and changes nothing", () => {
  const refusal = { field: "thickness_mm", value: null, low: 0.5, high: 8, unit: "mm", reason: "refusal.missing" };
  showOffer({ ...offer, text: { key: "offer.refused" }, actions: [], refusal });
  expect(screen.getByText(words({ key: "offer.refused" }))).toBeTruthy();
  expect(screen.getByRole("alert").textContent).toContain(say("field.thickness_mm"));
  expect(screen.queryByText(words({ key: "offer.take" }))).toBeNull();
});
