import { cleanup, fireEvent, render, screen, waitFor } from "@testing-library/preact";
import { afterEach, expect, it } from "vitest";
import type { FindingCard } from "../../engine/types.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { BATH_SIZE } from "../check_forms.ts";
import { findingCards } from "../flow/finding_cards.ts";
import { fieldLabel, say } from "../say.ts";
import { Sources } from "../screens/Sources.tsx";
import { FindingScreen } from "../screens/WhatNow.tsx";
import { Asked } from "./Asked.tsx";

const note = { key: "say:x" };
const cut = { question: "power_cut", fields: [["number", "held_min"] as const, ["number", "away_min"] as const] };
const said = Object.fromEntries(["title", "do_now", "do_not", "then"].map((place) => [place, note]));
const card = { ...said, where: [], people: null } as unknown as Omit<FindingCard, "id" | "asks">;
const cards = [
  { id: "power_cut_in_temper", ...card, asks: cut },
  { id: "bow_over", ...card, asks: null },
];
const field = (name: string) => screen.getByLabelText(new RegExp(fieldLabel(name))) as HTMLInputElement;

function open(finding: string, temper: object | null) {
  findingCards.value = cards;
  render(<FindingScreen piece_id={null} fold={foldAnswer({ facts: { temper } })} finding={finding} />);
}

afterEach(cleanup);

it("asks for what only the smith knows, where a finding has a question", () => {
  freshApp();
  open("power_cut_in_temper", { set_c: 205, planned_s: 7200, steel: "O1" });
  for (const name of ["held_min", "away_min"]) expect(field(name)).toBeTruthy();
  cleanup();
  open("bow_over", { set_c: 205, planned_s: 7200 });
  expect(screen.queryByRole("button", { name: say("asks.power_cut") })).toBeNull();
});

it("asks nothing of a blade that was never in the oven", () => {
  freshApp();
  open("power_cut_in_temper", null);
  expect(screen.queryByRole("button", { name: say("asks.power_cut") })).toBeNull();
});

it("keeps a typed figure as a draft, each blade's by itself", () => {
  freshApp();
  location.hash = "#/blade/a/wrong/power_cut_in_temper";
  render(<Asked asks={cut} />);
  fireEvent.input(field("held_min"), { target: { value: "50" } });
  cleanup();
  render(<Asked asks={cut} />);
  expect(field("held_min").value).toBe("50");
  cleanup();
  location.hash = "#/blade/b/wrong/power_cut_in_temper";
  render(<Asked asks={cut} />);
  expect(field("held_min").value).toBe("");
  location.hash = "";
});

it("says how large a tank must be in the engine's words, and what it does not take at its field", async () => {
  freshApp();
  render(<Asked asks={BATH_SIZE} />);
  const press = () => fireEvent.click(screen.getByRole("button", { name: say("asks.bath_size") }));
  for (const [name, value] of Object.entries({ steel_kg: "1,05", dip_mm: "560", bore_mm: "150" }))
    fireEvent.input(field(name), { target: { value } });
  press();
  const said = await screen.findByRole("status", {}, { timeout: 15_000 });
  expect(said.textContent).toMatch(/907 mm long, oil 775 mm deep, 13\.7 L/);
  fireEvent.input(field("bore_mm"), { target: { value: "5" } });
  press();
  await waitFor(() => expect(screen.getAllByRole("alert")).toHaveLength(1));
  expect(screen.queryByRole("status")).toBeNull();
}, 20_000);

it("shows every model with what it misses, its worst row and the width of its band", async () => {
  freshApp();
  render(<Sources />);
  await screen.findByText(say("model.ms"), {}, { timeout: 15_000 });
  const page = document.body.textContent ?? "";
  expect(page).toContain(say("model.what"));
  expect(page).toMatch(
    /5160: 20 measured\. On average [\d.]+ HRC too high, scatter .*band, .*holds 90 %\. Worst: .*300 °C/,
  );
  expect(page).not.toMatch(/\[(app|model)\./);
}, 20_000);
