import { afterEach, beforeEach, expect, it, vi } from "vitest";
import type { FoldAnswer } from "../engine/types.ts";
import { type BladeRow, blades, type OpenBlade, openBlade } from "../state/blades.ts";
import { route, routeFrom } from "../state/route.ts";
import { listenToKeys, onKey } from "./keys.ts";

const pressed = vi.fn();
const takenBack = vi.hoisted(() => vi.fn());
vi.mock("./undo.ts", () => ({ pressUndo: takenBack }));

function step(key: string): void {
  onKey(new KeyboardEvent("keydown", { key }));
}

beforeEach(() => {
  vi.useFakeTimers();
  vi.advanceTimersByTime(1_000);
  pressed.mockClear();
  document.body.innerHTML = "<button data-primary></button>";
  document.querySelector("button")?.addEventListener("click", pressed);
});

afterEach(() => {
  vi.useRealTimers();
});

it("takes a pedal that bounces for one press, and the next press for another", () => {
  step(" ");
  vi.advanceTimersByTime(200);
  step("Enter");
  expect(pressed).toHaveBeenCalledTimes(1);
  vi.advanceTimersByTime(600);
  step(" ");
  expect(pressed).toHaveBeenCalledTimes(2);
});

it("does not press again while a key is held down", () => {
  listenToKeys();
  dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", repeat: true }));
  expect(pressed).not.toHaveBeenCalled();
});

/** The address has gone on to a blade; what is shown is still another. */
function between(shown: string, asked: string): void {
  const fold = { undo: { entry_id: "mark-1" } } as unknown as FoldAnswer;
  openBlade.value = { piece_id: shown, fold } as unknown as OpenBlade;
  route.value = routeFrom(`#/blade/${asked}`);
}

it("steps on from the blade that was asked for, though it is not shown yet", () => {
  blades.value = ["a", "b", "c"].map((piece_id) => ({ piece_id }) as unknown as BladeRow);
  between("a", "b");
  step("ArrowRight");
  expect(location.hash).toBe("#/blade/c");
});

it("steps twice before the browser has told of the first, and takes nothing back on a blade it has left", () => {
  takenBack.mockClear();
  blades.value = ["a", "b", "c"].map((piece_id) => ({ piece_id }) as unknown as BladeRow);
  between("a", "a");
  step("ArrowRight");
  step("Backspace");
  expect(takenBack).not.toHaveBeenCalled();
  step("ArrowRight");
  expect(location.hash).toBe("#/blade/c");
});

it("takes nothing back on the blade that was just left", () => {
  takenBack.mockClear();
  between("a", "b");
  step("Backspace");
  expect(takenBack).not.toHaveBeenCalled();
  between("b", "b");
  step("Backspace");
  expect(takenBack).toHaveBeenCalledTimes(1);
});
