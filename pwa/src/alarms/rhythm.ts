import type { SoundName } from "../state/alarms.ts";

/** One tone: from when to when, in seconds, and how its pitch runs. */
export interface Tone {
  readonly from_s: number;
  readonly long_s: number;
  readonly from_hz: number;
  readonly to_hz: number;
}

export interface Rhythm {
  readonly tones: readonly Tone[];
  /** After how long it starts again; null: once. */
  readonly repeat_s: number | null;
  /** Vibration in the same rhythm: on, off, on ... in ms. */
  readonly vibration_ms: readonly number[];
}

const tone = (from_s: number, long_s: number, from_hz: number, to_hz = from_hz): Tone => ({
  from_s,
  long_s,
  from_hz,
  to_hz,
});

const PAIR = [tone(0, 0.18, 880), tone(0.28, 0.18, 880)];

/**
 * Four sounds, told apart by rhythm and not by pitch: tick, pair, long-short, long. The alarm is neither three pulses
 * (the evacuation signal) nor four (the CO alarm); it sweeps 500 to 2,000 Hz so that some of it gets past any hearing loss.
 */
export const RHYTHMS: Readonly<Record<SoundName, Rhythm>> = {
  tick: { tones: [tone(0, 0.03, 1_600)], repeat_s: null, vibration_ms: [20] },
  reminder: { tones: PAIR, repeat_s: 60, vibration_ms: [180, 100, 180] },
  hurry: { tones: PAIR, repeat_s: 5, vibration_ms: [180, 100, 180] },
  alarm: {
    tones: [tone(0, 0.8, 500, 2_000), tone(1, 0.25, 500, 2_000)],
    repeat_s: 1.75,
    vibration_ms: [800, 200, 250, 500],
  },
  window_shut: { tones: [tone(0, 1.6, 700)], repeat_s: null, vibration_ms: [1_600] },
};
