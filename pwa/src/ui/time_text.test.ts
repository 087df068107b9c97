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
  expect(instantOf("soon", QUENCH_MS)).toBeNull();
});
