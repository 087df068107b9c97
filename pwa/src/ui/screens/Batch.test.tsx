import { cleanup, render, screen, within } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it } from "vitest";
import { blades } from "../../state/blades.ts";
import { nowMs } from "../../state/moment.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { Batch, Baths } from "./Batch.tsx";

const BATH = { name: "Short oil", litres: 12, low_c: 35, high_c: 65, temperature_c: 50 };
/** Six blades of 173.5 g at 845 °C into 12 L of oil at 50 °C: m cs (Ts - Tb) / (V rho co + m cs), worked by hand. */
const WORKED_C = [50, 54.96, 59.89, 64.78, 69.65, 74.49, 79.29];
const LETTERS = [..."ABCDEF"];

beforeEach(() => {
  freshApp();
  const bath = { ...BATH, read_ms: nowMs.value };
  const heat = { state: "ready_to_harden", steel_kg: 0.1735, steel_c: 845, temper_c: 190, bath };
  blades.value = LETTERS.map((letter) => {
    const lot = { log_id: letter, tag: letter, letter, ...heat };
    return { piece_id: letter, tag: letter, only_here: 0, fold: foldAnswer({ log_id: letter, lot }) };
  });
});

afterEach(cleanup);

it("forecasts the bath before and after each of six blades, and marks those over its limit", async () => {
  render(<Baths />);
  const table = await screen.findByRole("table", {}, { timeout: 15_000 });
  const rows = within(table).getAllByRole("row").slice(1);
  const cells = rows.map((row) => [...row.querySelectorAll("td")].map((cell) => cell.textContent));
  const shown = WORKED_C.map((worked_c) => String(Math.round(worked_c)));
  expect(cells).toEqual(LETTERS.map((letter, at) => [letter, shown[at], shown[at + 1]]));
  expect(rows.map((row) => row.querySelector("svg") !== null)).toEqual([false, false, false, true, true, true]);
}, 20_000);

it("says how many more go in, what each finds, and what those that wait would make of the bath", async () => {
  render(<Batch />);
  await screen.findByText(/room for 3 more/, {}, { timeout: 15_000 });
  const tiles = [...document.querySelectorAll(".tile span")].map((tile) => tile.textContent?.trim());
  const found = WORKED_C.slice(0, 3).map((worked_c) => `${Math.round(worked_c)} °C`);
  const made = WORKED_C.slice(4).map((worked_c) => `to ${Math.round(worked_c)} °C`);
  expect(tiles).toEqual([...found, ...made]);
}, 20_000);
