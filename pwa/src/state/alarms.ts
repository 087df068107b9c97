import { computed, signal } from "@preact/signals";
import type { ClockKind, Note, StageId } from "../engine/types.ts";

export type Warner = "screen" | "calendar" | "push";
/** What can be tried out one by one, each with a stored result. */
export type AlarmWay = "sound" | "vibration" | "light" | "wake_lock" | "calendar" | "push";
/** Told apart by rhythm: hurry is the reminder's pair, repeated. */
export type SoundName = "tick" | "reminder" | "hurry" | "alarm" | "window_shut";

export interface TestResult {
  readonly at_ms: number;
  /** `unheard`: it ran, and the person said that it was not noticed. */
  readonly result: "worked" | "unheard" | "unsupported" | "blocked";
}

export interface Ringing {
  readonly clock_id: string;
  readonly piece_id: string;
  readonly tag: string;
  readonly kind: ClockKind;
  readonly stage: StageId;
  readonly due_ms: number;
  readonly text: Note;
}

export type PushState = "unsupported" | "needs_install" | "off" | "blocked" | "on" | "no_server" | "failed";
export type WakeLockState = "unsupported" | "off" | "held" | "refused";

export interface AlarmState {
  readonly visible: boolean;
  readonly sound_unlocked: boolean;
  readonly wake_lock: WakeLockState;
  readonly push: PushState;
  /** Calendar files handed over: clock id -> the due instant that was in the file. */
  readonly calendar: Readonly<Record<string, number>>;
  /** The worst stage that rings now; the screen shows it whole. */
  readonly ringing: Ringing | null;
  /** `clock id:stage` the person has heard: quiet here, the stage itself goes on. */
  readonly silenced: readonly string[];
  /** The full-screen light is being tried out. */
  readonly testing_light: boolean;
  readonly tests: Readonly<Partial<Record<AlarmWay, TestResult>>>;
}

export const alarms = signal<AlarmState>({
  visible: true,
  sound_unlocked: false,
  wake_lock: "off",
  push: "off",
  calendar: {},
  ringing: null,
  silenced: [],
  testing_light: false,
  tests: {},
});

/** Who will warn of one clock, truly: the screen only while it is visible and may sound, the calendar only for this clock's due instant. */
export function warnersOf(clock: {
  readonly id: string;
  readonly stages: readonly { readonly due_ms: number }[];
}): readonly Warner[] {
  const { visible, sound_unlocked, push, calendar } = alarms.value;
  const armed_ms = calendar[clock.id];
  const on: Warner[] = [];
  if (visible && sound_unlocked) on.push("screen");
  if (armed_ms !== undefined && clock.stages.some((stage) => stage.due_ms === armed_ms)) on.push("calendar");
  if (push === "on") on.push("push");
  return on;
}

/** Who warns in general, whatever the clock; empty means NOBODY, and the app says so. */
export const warners = computed<readonly Warner[]>(() => {
  const { visible, sound_unlocked, push } = alarms.value;
  return [...(visible && sound_unlocked ? (["screen"] as const) : []), ...(push === "on" ? (["push"] as const) : [])];
});
