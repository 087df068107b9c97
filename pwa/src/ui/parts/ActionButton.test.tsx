import { cleanup, fireEvent, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { HoldButton } from "./ActionButton.tsx";

const pressed = vi.fn();

beforeEach(() => {
  vi.useFakeTimers();
  pressed.mockClear();
  render(<HoldButton label="Release" onPress={pressed} />);
});

afterEach(() => {
  cleanup();
  vi.useRealTimers();
});

it("acts when it was held, not when it was let go early", () => {
  const button = screen.getByRole("button");
  fireEvent.pointerDown(button);
  vi.advanceTimersByTime(700);
  fireEvent.pointerUp(button);
  vi.advanceTimersByTime(1_000);
  expect(pressed).not.toHaveBeenCalled();
  fireEvent.pointerDown(button);
  vi.advanceTimersByTime(800);
  expect(pressed).toHaveBeenCalledTimes(1);
});

it("does nothing where its screen goes away under the finger", () => {
  fireEvent.pointerDown(screen.getByRole("button"));
  vi.advanceTimersByTime(400);
  cleanup();
  vi.advanceTimersByTime(1_000);
  expect(pressed).not.toHaveBeenCalled();
});

it("needs two presses without a pointer, and says so", async () => {
  const button = screen.getByRole("button");
  fireEvent.click(button, { detail: 0 });
  expect(pressed).not.toHaveBeenCalled();
  expect(await screen.findByText("Press again: Release")).toBeTruthy();
  fireEvent.click(button, { detail: 0 });
  expect(pressed).toHaveBeenCalledTimes(1);
});
