import { describe, expect, it } from "vitest";
import { brittleClock, foldAnswer } from "../testing/folds.ts";
import { calendarStages, isUrgent, nextDueMs, ringingNow, silenceKey, type Watched, windowEndsMs } from "./plan.ts";

const blade = (clock = brittleClock(), piece_id = "piece-1"): Watched => ({
  piece_id,
  tag: "QF-103",
  fold: foldAnswer({ clocks: [clock] }),
});

describe("what rings", () => {
  it.each([
    [599_999, null],
    [600_000, "reminder"],
    [1_800_000, "hurry"],
    [3_600_000, "alarm"],
    [99_000_000, "alarm"],
  ])("at %i ms is %s", (now_ms, stage) => {
    expect(ringingNow([blade()], now_ms, [])?.stage ?? null).toBe(stage);
  });

  it("is nothing once the blade is in the oven, however late", () => {
    expect(ringingNow([blade(brittleClock({ paused: true }))], 99_000_000, [])).toBeNull();
    expect(ringingNow([{ ...blade(), fold: foldAnswer({ clocks: [] }) }], 99_000_000, [])).toBeNull();
    expect(ringingNow([{ ...blade(), fold: null }], 99_000_000, [])).toBeNull();
  });

  it("is the worst of all blades, the longest overdue first", () => {
    const later = brittleClock({
      id: "brittle:later",
      stages: brittleClock().stages.map((one) => ({ ...one, due_ms: one.due_ms + 5 })),
    });
    const ringing = ringingNow([blade(later, "piece-2"), blade()], 4_000_000, []);
    expect(ringing?.piece_id).toBe("piece-1");
    const worse = ringingNow(
      [blade(later, "piece-2"), blade(brittleClock({ stages: brittleClock().stages.slice(0, 1) }))],
      4_000_000,
      [],
    );
    expect(worse?.piece_id).toBe("piece-2");
  });

  it("is the hard blade's before that of a blade put aside long ago", () => {
    const [reminder] = brittleClock().stages;
    const old = brittleClock({
      id: "put_aside:1",
      kind: "put_aside",
      stages: reminder ? [{ ...reminder, due_ms: 5 }] : [],
    });
    const aside = { piece_id: "piece-2", tag: "QF-104", fold: foldAnswer({ clocks: [old], danger: 85 }) };
    expect(ringingNow([aside, blade()], 700_000, [])?.piece_id).toBe("piece-1");
    expect(ringingNow([aside], 700_000, [])?.piece_id).toBe("piece-2");
  });

  it("falls silent for the stage that was heard, and speaks again at the next", () => {
    const heard = [silenceKey("brittle:quench-1", "reminder")];
    expect(ringingNow([blade()], 700_000, heard)).toBeNull();
    expect(ringingNow([blade()], 1_800_000, heard)?.stage).toBe("hurry");
  });
});

describe("the next waking", () => {
  it("is at the next stage of any running clock, or the end of a window", () => {
    const window = brittleClock({ id: "window:1", kind: "window", due_ms: 650_000, stages: [] });
    expect(nextDueMs([blade()], 0)).toBe(600_000);
    expect(nextDueMs([blade(), blade(window, "piece-2")], 600_000)).toBe(650_000);
    expect(nextDueMs([blade()], 4_000_000)).toBeNull();
    expect(windowEndsMs([blade(window)])).toEqual([650_000]);
  });

  it("keeps the screen lit only while a clock with stages runs or a blade is in hand", () => {
    expect(isUrgent([blade()])).toBe(true);
    expect(isUrgent([blade(brittleClock({ paused: true }))])).toBe(false);
    expect(isUrgent([blade(brittleClock({ stages: [] }))])).toBe(false);
    const in_the_fire = foldAnswer({ clocks: [], at_work: "hands" });
    expect(isUrgent([{ ...blade(), fold: in_the_fire }])).toBe(true);
  });
});

describe("the stage for the calendar", () => {
  it.each([
    [0, "hurry"],
    [1_800_000, "alarm"],
    [3_600_000, undefined],
  ])("at %i ms is %s", (now_ms, stage) => {
    expect(calendarStages(brittleClock(), now_ms)[0]?.stage).toBe(stage);
  });
});
