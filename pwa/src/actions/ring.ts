import { banner } from "../alarms/banner.ts";
import { isUrgent, nextDueMs, ringingNow, silenceKey, windowEndsMs } from "../alarms/plan.ts";
import { play, ring, soundUnlocked, vibrate } from "../alarms/sound.ts";
import { keepAwake } from "../alarms/wake_lock.ts";
import type { Note } from "../engine/types.ts";
import { type AlarmState, alarms, type Ringing } from "../state/alarms.ts";
import { blades } from "../state/blades.ts";
import { nowMs, people } from "../state/moment.ts";
import { setMeta } from "../store/meta.ts";
import { theApp } from "./context.ts";

/** After that a shut window is old news. */
const JUST_NOW_MS = 10_000;

let timer: ReturnType<typeof setTimeout> | null = null;
let say: ((note: Note) => string) | null = null;

/** The words of the banner that a hidden page shows. */
export function sayWith(words: (note: Note) => string): void {
  say = words;
}

export function setAlarms(change: Partial<AlarmState>): void {
  alarms.value = { ...alarms.peek(), ...change };
}

/** The quiet tick of a kept mark; none while something louder goes on. */
export function playTick(): void {
  if (people.peek() !== null || alarms.peek().ringing !== null) return;
  play("tick");
  vibrate("tick");
}

/** Look at every clock: ring what is due, fall silent when it is not, and wake up for the next. */
export function watchClocks(): void {
  const now_ms = theApp().now_ms();
  const watched = blades.peek();
  const ringing = people.peek() === null ? ringingNow(watched, now_ms, alarms.peek().silenced) : null;
  show(ringing);
  ring(ringing?.stage ?? null);
  soundWindowShut(now_ms);
  setAlarms({ sound_unlocked: soundUnlocked() });
  void keepAwake(alarms.peek().visible && isUrgent(watched), (wake_lock) => setAlarms({ wake_lock }));
  wakeAt(nextDueMs(watched, now_ms), now_ms);
}

let window_ends_ms: readonly number[] = [];

/** A window that was open at the last look and has just shut by time: one long tone. */
function soundWindowShut(now_ms: number): void {
  const shut = window_ends_ms.some((end_ms) => end_ms <= now_ms && now_ms - end_ms < JUST_NOW_MS);
  window_ends_ms = windowEndsMs(blades.peek()).filter((end_ms) => end_ms > now_ms);
  if (shut && people.peek() === null && alarms.peek().ringing === null) ring("window_shut");
}

function show(ringing: Ringing | null): void {
  const old = alarms.peek().ringing;
  if (old?.clock_id === ringing?.clock_id && old?.stage === ringing?.stage) return;
  setAlarms({ ringing });
  if (ringing && say && !alarms.peek().visible) void banner(ringing.clock_id, ringing.tag, say(ringing.text));
}

function wakeAt(due_ms: number | null, now_ms: number): void {
  if (timer) clearTimeout(timer);
  timer = due_ms === null ? null : setTimeout(watchClocks, Math.min(due_ms - now_ms + 20, 2 ** 30));
}

/** The person has noticed: quiet here for this stage of this clock. The next stage rings again. */
export async function silence(): Promise<void> {
  const { ringing, silenced } = alarms.peek();
  if (!ringing) return;
  const heard = [...silenced, silenceKey(ringing.clock_id, ringing.stage)].slice(-200);
  setAlarms({ silenced: heard, ringing: null });
  watchClocks();
  await setMeta(theApp().store, "silenced", heard);
}

/** What was silenced may ring again. */
export async function unsilence(): Promise<void> {
  setAlarms({ silenced: [] });
  watchClocks();
  await setMeta(theApp().store, "silenced", []);
}

/** Once a second while the page is seen. */
export function tickOn(): void {
  nowMs.value = theApp().now_ms();
}
