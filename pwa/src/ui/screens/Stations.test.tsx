import { cleanup, fireEvent, render, screen } from "@testing-library/preact";
import { afterEach, expect, it, vi } from "vitest";
import { openBlade } from "../../state/blades.ts";
import { route, routeFrom } from "../../state/route.ts";
import { readLog } from "../../store/entries.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { LOG_ID, placed } from "../../testing/fresh_store.ts";
import { App } from "../App.tsx";
import { say } from "../say.ts";

const stations = [
  { at_mm: 0, gap_mm: 1 },
  { at_mm: 200, gap_mm: 1.55 },
  { at_mm: 420, gap_mm: 1 },
];
const read = { check: "straightness", length_mm: 420, pad_mm: 1, side: "right", stations };

afterEach(() => {
  cleanup();
  openBlade.value = null;
  route.value = routeFrom("");
});

it("puts a reading right where the log says Correct: from what was read, station by station", async () => {
  const { store } = freshApp();
  const entries = [placed({ id: "a", kind: "check", body: read })];
  const blade = { tag: "QF-1", fold: foldAnswer(), card: null, earlier_cards: [], folding: false };
  openBlade.value = { ...blade, only_here: new Set<string>(), piece_id: LOG_ID, entries };
  route.value = routeFrom(`#/blade/${LOG_ID}/check/straightness/a`);
  render(<App />);
  expect(screen.getByText(say("choice.right"))).toBeTruthy();
  expect(screen.getByText("200")).toBeTruthy();
  fireEvent.click(screen.getByText("1.55"));
  const [pad] = screen.getAllByDisplayValue("1.55");
  fireEvent.input(pad as HTMLElement, { target: { value: "1.15" } });
  fireEvent.click(screen.getByRole("button", { name: say("keep") }));
  const better = stations.map((one) => (one.gap_mm === 1.55 ? { ...one, gap_mm: 1.15 } : one));
  await vi.waitFor(async () =>
    expect((await readLog(store, LOG_ID)).at(-1)).toMatchObject({
      kind: "correct",
      body: { entry_id: "a", body: { ...read, stations: better } },
    }),
  );
});
