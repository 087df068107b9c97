import { afterEach, expect, it } from "vitest";
import { shop } from "../state/shop.ts";
import { clockTime, clockTimeZoned, instantOf } from "./time_text.ts";

const before = shop.value;
afterEach(() => {
  shop.value = before;
});

const QUENCH_MS = Date.UTC(2026, 9, 24, 23, 10, 5);

it("tells the time of the shop, not of the phone", () => {
  shop.value = { ...before, zone: "Europe/Dublin" };
  expect(clockTime(QUENCH_MS, true)).toBe("00:10:05");
});

it("tells the two hours of the night apart in which the clocks go back", () => {
  shop.value = { ...before, zone: "Europe/Dublin" };
  const first = clockTimeZoned(Date.UTC(2026, 9, 25, 0, 25));
  const second = clockTimeZoned(Date.UTC(2026, 9, 25, 1, 25));
  expect(first).toMatch(/^01:25/);
  expect(second).toMatch(/^01:25/);
  expect(first).not.toBe(second);
});

it("finds the instant of a clock time near another, over midnight too", () => {
  shop.value = { ...before, zone: "Europe/Dublin" };
  expect(instantOf("23:58", QUENCH_MS)).toBe(Date.UTC(2026, 9, 24, 22, 58, 0));
  expect(instantOf("00:09:30", QUENCH_MS)).toBe(Date.UTC(2026, 9, 24, 23, 9, 30));
  for (const none of ["soon", "24:00", "99:99", "12:60", "12:10:60", "1:2"])
    expect(instantOf(none, QUENCH_MS)).toBeNull();
});

const DUBLIN = "Europe/Dublin";
const CHICAGO = "America/Chicago";

// An instant, then +30, +60 and +205 min, over midnight and the change of the clocks (IANA time zone data).
it.each([
  [DUBLIN, Date.UTC(2026, 9, 24, 23, 25), ["00:55", "01:25", "02:50"]],
  [DUBLIN, Date.UTC(2027, 2, 28, 0, 25), ["00:55", "02:25", "04:50"]], // from 01:00 to 02:00 there is none
  [CHICAGO, Date.UTC(2026, 10, 1, 4, 50), ["00:20", "00:50", "02:15"]],
  [CHICAGO, Date.UTC(2027, 2, 14, 7, 10), ["01:40", "03:10", "05:35"]],
] as const)("tells when a clock rings in %s", (zone, from_ms, shown) => {
  shop.value = { ...before, zone };
  expect([30, 60, 205].map((minutes) => clockTime(from_ms + minutes * 60_000))).toEqual(shown);
});

// Looking back in the morning over the night in which the clocks changed.
it.each([
  [DUBLIN, "00:30", Date.UTC(2026, 9, 25, 9, 10), Date.UTC(2026, 9, 24, 23, 30)],
  [DUBLIN, "00:30", Date.UTC(2027, 2, 28, 8, 10), Date.UTC(2027, 2, 28, 0, 30)],
  [CHICAGO, "23:50", Date.UTC(2026, 10, 1, 14, 0), Date.UTC(2026, 10, 1, 4, 50)],
  [DUBLIN, "10:00", Date.UTC(2027, 2, 28, 0, 10), Date.UTC(2027, 2, 28, 9, 0)],
] as const)("finds in %s the instant of %s over a change of the clocks", (zone, time, near_ms, found_ms) => {
  shop.value = { ...before, zone };
  expect(instantOf(time, near_ms)).toBe(found_ms);
});
