import { cleanup, fireEvent, render, screen, within } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { lastFacts, newPiece } from "../../actions/pieces.ts";
import type { Card } from "../../engine/types.ts";
import { blades } from "../../state/blades.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { textIn } from "../flow/form.ts";
import { chooseSteel, leaveNew, newBladeForm } from "../flow/new_blade.ts";
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

it("offers what the last blade of this steel was made with, and takes all of it with one press", async () => {
  const facts = { steel: "1084", thickness_mm: 4.2, length_mm: 420, quench: [{ medium: "fast_oil" }], target_hrc: 59 };
  await newPiece({ tag: "QF-1" }, { facts } as unknown as Card);
  render(<NewBlade />);
  await screen.findAllByText("1084", {}, { timeout: 15_000 });
  fireEvent.change(screen.getByLabelText(say("field.steel")), { target: { value: "1084" } });
  const offer = await screen.findByText(/^As last time: 4.20 mm, Fast oil, 59/, {}, { timeout: 15_000 });
  fireEvent.click(offer);
  expect(["thickness_mm", "length_mm", "target_hrc"].map((name) => textIn(newBladeForm(), name))).toEqual([
    "4.20",
    "420",
    "59",
  ]);
  expect(screen.queryByText(/^As last time/)).toBeNull();
}, 20_000);

it("offers nothing of another steel", async () => {
  await newPiece({ tag: "QF-1" }, { facts: { steel: "1084", quench: [{ medium: "fast_oil" }] } } as unknown as Card);
  render(<NewBlade />);
  chooseSteel(newBladeForm(), "5160");
  expect(await lastFacts("5160")).toBeNull();
  expect(screen.queryByText(/^As last time/)).toBeNull();
});

const key = (name: string) =>
  within(screen.getByRole("group", { name: say("pad.keys") })).getByRole("button", { name });

it("gives a number field the large pad with its unit beside it, goes on to the next field, and takes it away again", async () => {
  render(<NewBlade />);
  const field = (name: string) => screen.getByLabelText<HTMLInputElement>(new RegExp(`^${say(`field.${name}`)}, mm`));
  expect(screen.queryByText(say("pad.keys"))).toBeNull();
  field("thickness_mm").focus();
  await screen.findByText(say("pad.keys"));
  for (const name of ["4", say("pad.comma"), "2"]) fireEvent.click(key(name));
  expect(field("thickness_mm").value).toBe("4,2");
  expect(field("thickness_mm").inputMode).toBe("none");
  fireEvent.click(key(say("next")));
  await vi.waitFor(() => expect(document.activeElement).toBe(field("edge_mm")));
  fireEvent.click(key("1"));
  expect([field("edge_mm").value, field("thickness_mm").value]).toEqual(["1", "4,2"]);
  field("edge_mm").blur();
  await vi.waitFor(() => expect(screen.queryByText(say("pad.keys"))).toBeNull());
});

it("moves the edge to leave with each heat, and says what it is for", async () => {
  render(<NewBlade />);
  await screen.findAllByText("1084", {}, { timeout: 15_000 });
  fireEvent.change(screen.getByLabelText(say("field.steel")), { target: { value: "1084" } });
  const three = await screen.findByText(/^Heats: 4. Leave .* at the edge/, {}, { timeout: 15_000 });
  const leave_mm = (text: string) => Number(/Leave ([\d.]+)/.exec(text)?.[1]);
  const before = leave_mm(three.textContent);
  for (const part of ["final edge 0.25", "lost carbon", "scale 0.06", "clean-up 0.10", "warp 0.30"])
    expect(three.textContent).toContain(part);
  fireEvent.click(within(screen.getByRole("group", { name: say("field.cycles") })).getByText("1"));
  const one = await screen.findByText(/^Heats: 2. Leave/, {}, { timeout: 15_000 });
  expect(leave_mm(one.textContent)).toBeLessThan(before);
}, 20_000);
