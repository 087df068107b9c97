import { effect } from "@preact/signals";
import { alarms } from "../state/alarms.ts";
import { nowMs } from "../state/moment.ts";
import { deviceSettings, person } from "../state/person.ts";

function steady(): boolean {
  return globalThis.matchMedia?.("(prefers-reduced-motion: reduce)").matches ?? false;
}

/** The alarm's light changes with each second, or stays on for whoever wants nothing to move. */
function isLit(): boolean {
  const { ringing, testing_light } = alarms.value;
  if (ringing?.stage !== "alarm" && !testing_light) return false;
  return testing_light || steady() || Math.floor(nowMs.value / 1000) % 2 === 0;
}

/** Theme, hand, touch off, the pixels of a millimetre and the alarm's light, on the root of the page. */
export function followLook(): void {
  effect(() => {
    const { dataset, style } = document.documentElement;
    dataset.theme = person.value.theme;
    dataset.hand = person.value.hand;
    dataset.touch = deviceSettings.value.touch_off ? "off" : "on";
    style.setProperty("--px-per-mm", String(deviceSettings.value.px_per_mm ?? 0));
    dataset.light = isLit() ? "on" : "off";
  });
}
