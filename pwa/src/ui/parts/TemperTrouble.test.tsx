import { cleanup, fireEvent, render, screen } from "@testing-library/preact";
import { afterEach, expect, it } from "vitest";
import { foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { fieldLabel } from "../say.ts";
import { TemperTrouble } from "./TemperTrouble.tsx";

const fold = foldAnswer({ facts: { temper: { set_c: 205, planned_s: 7200, steel: "O1" } } });

afterEach(cleanup);

it("asks for what only the smith knows, for the two findings that the engine can answer", () => {
  freshApp();
  render(<TemperTrouble fold={fold} finding="power_cut_in_temper" />);
  for (const name of ["held_min", "away_min"]) expect(screen.getByLabelText(new RegExp(fieldLabel(name)))).toBeTruthy();
  cleanup();
  render(<TemperTrouble fold={fold} finding="bow_over" />);
  expect(screen.queryByRole("button")).toBeNull();
});

it("asks nothing of a blade that was never in the oven", () => {
  render(<TemperTrouble fold={foldAnswer({ facts: { temper: null } })} finding="temper_overshoot" />);
  expect(screen.queryByRole("button")).toBeNull();
});

it("keeps a typed figure as a draft of this blade's trouble", () => {
  freshApp();
  render(<TemperTrouble fold={fold} finding="power_cut_in_temper" />);
  const held = screen.getByLabelText(new RegExp(fieldLabel("held_min"))) as HTMLInputElement;
  fireEvent.input(held, { target: { value: "50" } });
  cleanup();
  render(<TemperTrouble fold={fold} finding="power_cut_in_temper" />);
  expect((screen.getByLabelText(new RegExp(fieldLabel("held_min"))) as HTMLInputElement).value).toBe("50");
});
