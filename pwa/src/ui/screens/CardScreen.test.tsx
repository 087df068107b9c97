import { cleanup, render, screen } from "@testing-library/preact";
import { afterEach, expect, it } from "vitest";
import type { Card } from "../../engine/types.ts";
import { type OpenBlade, openBlade } from "../../state/blades.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { say } from "../say.ts";
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
