import { beforeEach, expect, it } from "vitest";
import { type AppClock, appClock } from "./app_clock.ts";

const MINUTE_MS = 60_000;
const NOON_MS = Date.UTC(2026, 9, 24, 12);
let phone_ms: number;
let page_ms: number;
let clock: AppClock;

beforeEach(() => {
  phone_ms = NOON_MS;
  page_ms = 2_000;
  clock = appClock(
    () => phone_ms,
    () => page_ms,
  );
});

function pass(minutes: number): void {
  phone_ms += minutes * MINUTE_MS;
  page_ms += minutes * MINUTE_MS;
}

const minutes = (): number => (clock.now_ms() - NOON_MS) / MINUTE_MS;

it("is the phone's clock, through a sleep in which the page's own stood still, and when it is set on or trimmed", () => {
  pass(10);
  expect(minutes()).toBe(10);
  phone_ms += 30 * MINUTE_MS;
  expect(minutes()).toBe(40);
  phone_ms -= MINUTE_MS;
  expect(minutes()).toBe(39);
});

it("counts on when the phone's clock is set back, until that is there again", () => {
  pass(10);
  expect(minutes()).toBe(10);
  phone_ms -= 60 * MINUTE_MS;
  pass(5);
  expect(minutes()).toBe(15);
  phone_ms += 60 * MINUTE_MS;
  pass(1);
  expect(minutes()).toBe(16);
  phone_ms -= 2 * MINUTE_MS;
  pass(1);
  expect(minutes()).toBe(17);
});

it("follows a step back that undoes a step ahead, and no second one", () => {
  pass(10);
  expect(minutes()).toBe(10);
  phone_ms += 120 * MINUTE_MS;
  pass(1);
  expect(minutes()).toBe(131);
  phone_ms -= 120 * MINUTE_MS;
  expect(minutes()).toBe(11);
  phone_ms -= 120 * MINUTE_MS;
  expect(minutes()).toBe(11);
});

it("does not begin before what this phone has lived through, unless that was a day ahead", () => {
  clock.notBefore(NOON_MS + 50 * MINUTE_MS);
  pass(1);
  expect(minutes()).toBe(51);
  clock.notBefore(NOON_MS - 10 * MINUTE_MS);
  expect(minutes()).toBe(51);
  clock.notBefore(NOON_MS + 26 * 60 * MINUTE_MS);
  expect(minutes()).toBe(51);
});
