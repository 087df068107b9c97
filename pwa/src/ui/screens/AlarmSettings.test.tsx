import { cleanup, fireEvent, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { alarms } from "../../state/alarms.ts";
import { deviceSettings } from "../../state/person.ts";
import { getMeta } from "../../store/meta.ts";
import { type FreshApp, freshApp } from "../../testing/fresh_app.ts";
import { say } from "../say.ts";
import { AlarmSettings } from "./AlarmSettings.tsx";

let world: FreshApp;

beforeEach(() => {
  world = freshApp();
  alarms.value = { ...alarms.peek(), tests: {} };
  render(<AlarmSettings />);
});

afterEach(cleanup);

it("tries all alarms with one press and keeps how each went", async () => {
  fireEvent.click(screen.getByLabelText(say("alarm.test_one", { way: say("alarm.all") })));
  const kept = await vi.waitFor(async () => {
    const tests = (await getMeta<object>(world.store, "alarm_tests")) ?? {};
    expect(Object.keys(tests).sort()).toEqual(["calendar", "light", "push", "sound", "vibration", "wake_lock"]);
    return tests;
  });
  expect(kept).toMatchObject({ light: { at_ms: world.clock.now_ms, result: "worked" } });
});

it("asks whether somebody grinds, and keeps the answer", async () => {
  expect(screen.getByText(say("set.grinding_on")).textContent?.endsWith("?")).toBe(true);
  fireEvent.click(screen.getByText(say("set.grinding_on.on")));
  expect(deviceSettings.value.grinding_on).toBe(true);
  await vi.waitFor(async () =>
    expect(await getMeta(world.store, "device_settings")).toMatchObject({ grinding_on: true }),
  );
});
