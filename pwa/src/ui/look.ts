import { effect } from "@preact/signals";
import { alarms } from "../state/alarms.ts";
import { nowMs } from "../state/moment.ts";
import { deviceSettings, person } from "../state/person.ts";

function steady(): boolean {
  return globalThis.matchMedia?.("(prefers-reduced-motion: reduce)").matches ?? false;
}

/**
 * The alarm's light changes with each second, a hurry's comes every fourth, and a reminder has one only at the grinder;
 * it stays on for whoever wants nothing to move.
 */
function isLit(): boolean {
  const { ringing, testing_light } = alarms.value;
  const { grinding_on } = deviceSettings.value;
  if (testing_light) return true;
  if (!ringing || (ringing.stage === "reminder" && !grinding_on)) return false;
  return steady() || Math.floor(nowMs.value / 1000) % (ringing.stage === "alarm" ? 2 : 4) === 0;
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
