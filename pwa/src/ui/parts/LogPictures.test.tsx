import { cleanup, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it } from "vitest";
import { openBlade } from "../../state/blades.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { logPictures } from "../flow/log_pictures.ts";
import { LogPictures } from "./Pictures.tsx";

const TEMPER = {
  id: "temper",
  title: { key: "history.temper", facts: { n: 1, value_c: 205, hold_s: 7200 } },
  lines: [{ kind: "dot", points: [[0.5, 0.5]] as const, label: { key: "history.planned" }, at: [0.5, 0.6] as const }],
  x: [[0, 0]] as const,
  x_unit: "min",
  y: [[0.5, 200]] as const,
  y_unit: "degC",
  notes: [],
  sources: [],
  table: {
    columns: ["what", "when", "oven"].map((name) => ({
      label: { key: `card.column.${name}` },
      unit: name === "oven" ? "degC" : "",
    })),
    rows: [{ cells: [{ key: "history.read" }, { key: "say:12:19" }, 231], over: true }],
  },
};
const NONE = { pictures: [], tables: [] };

beforeEach(() => {
  freshApp();
  logPictures.value = null;
  const blade = { tag: "QF-1", fold: foldAnswer(), card: null, earlier_cards: [], only_here: new Set<string>() };
  openBlade.value = { ...blade, piece_id: "p1", entries: [], folding: false };
});

afterEach(cleanup);

it("shows a picture by its name, and the same as a table with what is off marked", () => {
  const { rerender } = render(<LogPictures part="tempers" title="Tempers" />);
  expect(screen.queryByText("Tempers")).toBeNull();
  logPictures.value = { log_id: "p1", tempers: { ...NONE, pictures: [TEMPER] }, bows: NONE, fractures: [] };
  rerender(<LogPictures part="tempers" title="Tempers" />);
  expect(screen.getByText("Tempers")).toBeTruthy();
  expect(screen.getByRole("img", { name: "Temper 1: 205 °C for 2 h planned" })).toBeTruthy();
  const cells = [...document.querySelectorAll("tbody td")];
  expect(cells.map((cell) => cell.textContent)).toEqual(["read", "12:19", "231"]);
  expect(cells[2]?.querySelector("svg")).toBeTruthy();
});

it("shows nothing that was drawn of another blade", () => {
  logPictures.value = { log_id: "p2", tempers: { ...NONE, pictures: [TEMPER] }, bows: NONE, fractures: [] };
  render(<LogPictures part="tempers" title="Tempers" />);
  expect(screen.queryByRole("img")).toBeNull();
});

it("shows a table though there is no picture yet: one reading of a bow is no curve", () => {
  const { title, notes, sources, table } = TEMPER;
  const bows = { pictures: [], tables: [{ id: "straightness", title, notes, sources, ...table }] };
  logPictures.value = { log_id: "p1", tempers: NONE, bows, fractures: [] };
  render(<LogPictures part="bows" />);
  expect(document.querySelectorAll("tbody td")).toHaveLength(3);
});
