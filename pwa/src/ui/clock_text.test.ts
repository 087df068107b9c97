import { expect, it } from "vitest";
import { clockText, countdownText, emsOf, rowText } from "./clock_text.ts";

const MIN_MS = 60_000;

it.each([
  [0, "0:00"],
  [999, "0:00"],
  [1_330_000, "22:10"],
  [67 * MIN_MS + 40_000, "1:07:40"],
  [120 * MIN_MS - 1000, "1:59:59"],
  [120 * MIN_MS, "2 h 00"],
  [546 * MIN_MS + 40_000, "9 h 06"],
  [978 * MIN_MS, "16 h 18"],
])("shows %d ms as %s", (duration_ms, text) => {
  expect(clockText(duration_ms)).toBe(text);
});

it("shows zero only when the time is over, and counts on after it", () => {
  expect(countdownText(1)).toBe("0:01");
  expect(countdownText(0)).toBe("0:00");
  expect(countdownText(-61_000)).toBe("+1:01");
});

it("gives a row of the list whole minutes from an hour on", () => {
  expect(rowText(67 * MIN_MS)).toBe("67 min");
  expect(rowText(-5_000)).toBe("+0:05");
});

it("takes a longer text for wider", () => {
  expect(emsOf("1:07:40")).toBeGreaterThan(emsOf("11:40"));
});
