import { cleanup, fireEvent, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it } from "vitest";
import { blades } from "../../state/blades.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { leaveNew, newBladeForm } from "../flow/new_blade.ts";
import { say } from "../say.ts";
import { NewBlade } from "./NewBlade.tsx";

const state = { id: "hard", cycle: null, temper: null, since_ms: 0 };
const inBatch = (piece_id: string, letter: string) => ({
  piece_id,
  tag: piece_id,
  only_here: 0,
  fold: foldAnswer({ log_id: piece_id, batch: "B7", letter, state }),
});
const typed = (name: string) => screen.getByLabelText<HTMLInputElement>(say(`field.${name}`)).value;

beforeEach(() => {
  freshApp();
});

afterEach(() => {
  cleanup();
  leaveNew(newBladeForm());
});

it("puts a new blade into the open batch under its next letter with one press", async () => {
  blades.value = [inBatch("1", "A"), inBatch("2", "B")];
  render(<NewBlade />);
  const label = say("new.batch", { batch: "B7", letter: "C" });
  fireEvent.click(await screen.findByText(label, {}, { timeout: 15_000 }));
  expect([typed("batch"), typed("letter")]).toEqual(["B7", "C"]);
  expect(screen.queryByText(label)).toBeNull();
}, 20_000);

it("offers nothing where no batch is open", () => {
  render(<NewBlade />);
  expect(screen.queryByText(/B7/)).toBeNull();
  expect([typed("batch"), typed("letter")]).toEqual(["", ""]);
});
