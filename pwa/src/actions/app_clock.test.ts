import { beforeEach, describe, expect, it, vi } from "vitest";
import { type AppClock, appClock } from "./app_clock.ts";

const MINUTE_MS = 60_000;
const NOON_MS = Date.UTC(2026, 9, 24, 12);
let phone_ms: number;
let page_ms: number;
let clock: AppClock;
const undone = vi.fn();

function begin(): void {
  page_ms = 2_000;
  clock = appClock(
    () => phone_ms,
    () => page_ms,
    undone,
  );
}

beforeEach(() => {
  phone_ms = NOON_MS;
  undone.mockClear();
  begin();
});

function pass(minutes: number): void {
  phone_ms += minutes * MINUTE_MS;
  page_ms += minutes * MINUTE_MS;
}

/** Set the phone's clock, or let the phone sleep: the page's own clock knows nothing of either. */
function step(minutes: number): void {
  phone_ms += minutes * MINUTE_MS;
}

const minutes = (): number => (clock.now_ms() - NOON_MS) / MINUTE_MS;

it("is the phone's clock, through a sleep, and when it is trimmed", () => {
  pass(10);
  expect(minutes()).toBe(10);
  step(30);
  expect(minutes()).toBe(40);
  step(-1);
  expect(minutes()).toBe(39);
});

describe("when the phone's clock is set back", () => {
  beforeEach(() => {
    pass(10);
    clock.now_ms();
    step(-60);
    expect(minutes()).toBe(10);
  });

  it("counts on, through a sleep too", () => {
    pass(5);
    expect(minutes()).toBe(15);
    step(40);
    expect(minutes()).toBe(55);
    step(90);
    expect(minutes()).toBe(145);
  });

  it("counts on when it is set back once more", () => {
    step(-30);
    expect(minutes()).toBe(10);
  });

  it("follows it again once it is set right, if only to the minute", () => {
    step(60.5);
    expect(minutes()).toBe(10.5);
    pass(5);
    expect(clock.now_ms()).toBe(phone_ms);
  });
});

it("counts on when it is set back by little more than a minute", () => {
  step(-1.5);
  expect(minutes()).toBe(0);
  pass(1);
  expect(minutes()).toBe(1);
});

describe("a step ahead", () => {
  beforeEach(() => {
    step(120);
    expect(minutes()).toBe(120);
  });

  it("that is undone was a mistake", () => {
    step(-120);
    expect(minutes()).toBe(0);
    step(-120);
    expect(minutes()).toBe(0);
    expect(undone).toHaveBeenCalledTimes(1);
  });

  it("stands when something was written after it: that is no later than what follows", () => {
    expect(clock.stamp_ms()).toBe(phone_ms);
    step(-120);
    expect(minutes()).toBe(120);
    expect(undone).not.toHaveBeenCalled();
  });
});

it.each([
  ["not before what the phone has lived through", 50, 50, -10, 50],
  ["with what is owed already, and what passed meanwhile", 50, -10, 5, 65],
  ["by the phone's clock where that is there again", 50, -10, 50, 50],
  ["by the phone's clock where that was a day ahead", 26 * 60, 26 * 60, 0, 0],
])("goes on after a start %s", (_, app, phone, now, expected) => {
  phone_ms = NOON_MS + now * MINUTE_MS;
  begin();
  clock.goOn({ app_ms: NOON_MS + app * MINUTE_MS, phone_ms: NOON_MS + phone * MINUTE_MS });
  expect(minutes()).toBe(expected);
});
