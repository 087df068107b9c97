import { cleanup, fireEvent, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { alarms } from "../../state/alarms.ts";
import { blades } from "../../state/blades.ts";
import { tell } from "../../state/moment.ts";
import { deviceSettings } from "../../state/person.ts";
import { brittleClock, foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { guardTouches } from "../touch.ts";
import { NoticeBar, TouchStrip } from "./Overlays.tsx";

guardTouches();

const touch = (strip: HTMLElement, pointerId: number) =>
  fireEvent(strip, new PointerEvent("pointerdown", { pointerId, bubbles: true }));
const lift = (pointerId: number) => dispatchEvent(new PointerEvent("pointerup", { pointerId }));
const isOff = () => deviceSettings.value.touch_off;

beforeEach(() => {
  vi.useFakeTimers();
  freshApp();
  deviceSettings.value = { ...deviceSettings.peek(), touch_off: true };
});

afterEach(() => {
  cleanup();
  vi.useRealTimers();
});

it("shows no strip while touches count", () => {
  deviceSettings.value = { ...deviceSettings.peek(), touch_off: false };
  render(<TouchStrip />);
  expect(screen.queryByRole("button")).toBeNull();
});

it("switches touches on again after one second, not after a drop of sweat", () => {
  render(<TouchStrip />);
  touch(screen.getByRole("button"), 1);
  vi.advanceTimersByTime(900);
  expect(isOff()).toBe(true);
  vi.advanceTimersByTime(100);
  expect(isOff()).toBe(false);
  lift(1);
});

it("takes no palm for a hold", () => {
  render(<TouchStrip />);
  for (const pointer of [1, 2, 3, 4]) touch(screen.getByRole("button"), pointer);
  vi.advanceTimersByTime(1_000);
  expect(isOff()).toBe(true);
  for (const pointer of [1, 2, 3, 4]) lift(pointer);
});

it("is switched on by a key pressed twice", () => {
  render(<TouchStrip />);
  fireEvent.click(screen.getByRole("button"), { detail: 0 });
  expect(isOff()).toBe(true);
  fireEvent.click(screen.getByRole("button"), { detail: 0 });
  expect(isOff()).toBe(false);
});

it("hands the clock to the calendar from the word about the battery", async () => {
  vi.useRealTimers();
  const { clock } = freshApp();
  const due_ms = clock.now_ms + 60_000;
  const stage = { stage: "alarm" as const, due_ms, text: { key: "say:now" }, useful_s: 60, presses: true };
  const fold = foldAnswer({ clocks: [brittleClock({ stages: [stage] })] });
  blades.value = [{ piece_id: "p", tag: "QF-103", fold, only_here: 0 }];
  tell({ id: "battery", kind: "warning", note: { key: "say:12 %" } });
  render(<NoticeBar only_not_kept={false} />);
  fireEvent.click(screen.getByText("12 %"));
  await vi.waitFor(() => expect(alarms.value.calendar).toEqual({ "brittle:quench-1": stage.due_ms }));
});

it("offers no calendar where no clock warns", () => {
  tell({ id: "battery", kind: "warning", note: { key: "say:12 %" } });
  render(<NoticeBar only_not_kept={false} />);
  expect(screen.getByText("12 %").tagName).toBe("SPAN");
});
