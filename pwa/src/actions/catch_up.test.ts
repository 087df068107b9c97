import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { blades } from "../state/blades.ts";
import { dismiss, health, notices } from "../state/moment.ts";
import { foldAnswer } from "../testing/folds.ts";
import { freshApp } from "../testing/fresh_app.ts";
import { watchBattery } from "./catch_up.ts";

/** Stands in for the phone's battery. */
class FakeBattery extends EventTarget {
  level = 0.12;
  charging = false;
  becomes(level: number, charging = false): void {
    Object.assign(this, { level, charging });
    this.dispatchEvent(new Event("levelchange"));
  }
}

let battery: FakeBattery;
const told = () => notices.value.map(({ note }) => note);
const work = (at_work: "hands" | null) => {
  blades.value = [{ piece_id: "p", tag: "QF-103", fold: foldAnswer({ at_work }), only_here: 0 }];
};

beforeEach(() => {
  freshApp();
  battery = new FakeBattery();
  vi.stubGlobal("navigator", { getBattery: () => Promise.resolve(battery) });
});

// Whoever watches the battery of one test goes on watching: it is charged now.
afterEach(() => {
  battery.charging = true;
  vi.unstubAllGlobals();
});

it("says at the start that the battery is nearly empty while a blade is at work", async () => {
  work("hands");
  await watchBattery();
  expect(told()).toEqual([{ key: "phone.battery_low", facts: { left_pct: 12 } }]);
  expect(health.value).toMatchObject({ battery: 0.12, charging: false });
});

it("says it when work begins on a battery that stands still, once", async () => {
  work(null);
  await watchBattery();
  expect(told()).toEqual([]);
  work("hands");
  expect(told()).toHaveLength(1);
  dismiss("battery");
  work("hands");
  expect(told()).toEqual([]);
});

it("says it when the level falls, and not on a charger or with enough left", async () => {
  work("hands");
  battery.becomes(0.5);
  await watchBattery();
  battery.becomes(0.14, true);
  expect(told()).toEqual([]);
  battery.becomes(0.14);
  expect(told()).toHaveLength(1);
});

it("is silent where the phone does not tell its battery", async () => {
  vi.stubGlobal("navigator", {});
  work("hands");
  await watchBattery();
  expect(told()).toEqual([]);
});
