import { afterEach, expect, it, vi } from "vitest";
import { newId } from "./ids.ts";

afterEach(() => vi.restoreAllMocks());

const drawn = (count: number) => Array.from({ length: count }, () => newId());

it("has the form of version 7, and tells when it was made", () => {
  const before_ms = Date.now();
  const id = newId();
  expect(id).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  expect(Math.abs(Number.parseInt(id.replace("-", "").slice(0, 12), 16) - before_ms)).toBeLessThan(1_000);
});

it("sorts in the order of making, many in one millisecond and across a clock set back", () => {
  const now_ms = Date.now() + 5_000;
  const clock = vi.spyOn(Date, "now").mockReturnValue(now_ms);
  const ids = drawn(5_000);
  clock.mockReturnValue(now_ms - 60_000);
  ids.push(...drawn(50));
  clock.mockReturnValue(now_ms + 60_000);
  ids.push(...drawn(50));
  expect([...ids].sort()).toEqual(ids);
  expect(new Set(ids).size).toBe(ids.length);
});
