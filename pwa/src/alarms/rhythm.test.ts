import { describe, expect, it } from "vitest";
import type { SoundName } from "../state/alarms.ts";
import { RHYTHMS } from "./rhythm.ts";

/** What tells two sounds apart without pitch: the lengths of their tones. */
const shape = (name: SoundName) =>
  RHYTHMS[name].tones.map((tone) => (tone.long_s > 0.5 ? "long" : tone.long_s > 0.1 ? "short" : "tick")).join(" ");

describe("the four sounds", () => {
  it("differ by rhythm, hurry being the reminder's pair again and again", () => {
    expect(["tick", "reminder", "alarm", "window_shut"].map((name) => shape(name as SoundName))).toEqual([
      "tick",
      "short short",
      "long short",
      "long",
    ]);
    expect(shape("hurry")).toBe(shape("reminder"));
    expect(RHYTHMS.hurry.repeat_s).toBeLessThan(RHYTHMS.reminder.repeat_s ?? 0);
  });

  it("are not the evacuation signal (three pulses) nor the CO alarm (four)", () => {
    for (const { tones } of Object.values(RHYTHMS)) expect(tones.length).toBeLessThan(3);
  });

  it("sweep the alarm from 500 to 2,000 Hz", () => {
    expect(RHYTHMS.alarm.tones.every((tone) => tone.from_hz === 500 && tone.to_hz === 2_000)).toBe(true);
  });
});
