import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { listenToKeys, onKey } from "./keys.ts";

const pressed = vi.fn();

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
