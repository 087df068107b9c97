import { beforeEach, describe, expect, it } from "vitest";
import { brittleClock } from "../testing/folds.ts";
import { alarms, warners, warnersOf } from "./alarms.ts";

beforeEach(() => {
  alarms.value = { ...alarms.peek(), visible: true, sound_unlocked: false, push: "off", calendar: {} };
});

describe("who warns you", () => {
  it("is nobody on a page that may not sound yet", () => {
    expect(warners.value).toEqual([]);
    expect(warnersOf(brittleClock())).toEqual([]);
  });

  it("is the screen only while it is seen and may sound", () => {
    alarms.value = { ...alarms.peek(), sound_unlocked: true };
    expect(warners.value).toEqual(["screen"]);
    alarms.value = { ...alarms.peek(), visible: false };
    expect(warners.value).toEqual([]);
  });

  it("is the calendar only for the instant that was handed over: a moved quench is no longer in it", () => {
    alarms.value = { ...alarms.peek(), calendar: { "brittle:quench-1": 1_800_000 } };
    expect(warnersOf(brittleClock())).toEqual(["calendar"]);
    const moved = brittleClock({ stages: brittleClock().stages.map((one) => ({ ...one, due_ms: one.due_ms - 1 })) });
    expect(warnersOf(moved)).toEqual([]);
  });

  it.each(["blocked", "no_server", "needs_install", "unsupported", "off"] as const)(
    "is not push when push is %s",
    (push) => {
      alarms.value = { ...alarms.peek(), push };
      expect(warners.value).toEqual([]);
    },
  );

  it("is push when the server has this phone's address", () => {
    alarms.value = { ...alarms.peek(), push: "on" };
    expect(warners.value).toEqual(["push"]);
  });
});
