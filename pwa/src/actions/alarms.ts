import { calendarFile } from "../alarms/calendar.ts";
import { handOver } from "../alarms/hand_over.ts";
import { calendarStages } from "../alarms/plan.ts";
import { type PushTarget, pushPossible, subscribe, subscribed, unsubscribe } from "../alarms/push.ts";
import { play, soundUnlocked, unlock, vibrate } from "../alarms/sound.ts";
import type { Clock, Note } from "../engine/types.ts";
import { type AlarmWay, alarms, type TestResult } from "../state/alarms.ts";
import { blades } from "../state/blades.ts";
import { shop } from "../state/shop.ts";
import { setMeta } from "../store/meta.ts";
import { CallFailed, callJson, callOk, fetching } from "../sync/transport.ts";
import { theApp } from "./context.ts";
import { setAlarms } from "./ring.ts";

export { silence } from "./ring.ts";

/** Making the sound takes a moment in which nothing else runs: the mark of the same tap goes first. */
const AFTER_THE_MARK_MS = 150;

/** Call this in a tap: only a tap may unlock the sound, and soon after it still counts. */
export async function unlockSound(): Promise<boolean> {
  if (!soundUnlocked()) await new Promise((resolve) => setTimeout(resolve, AFTER_THE_MARK_MS));
  const sound_unlocked = await unlock();
  setAlarms({ sound_unlocked });
  return sound_unlocked;
}

async function record(way: AlarmWay, result: TestResult["result"]): Promise<TestResult> {
  const test: TestResult = { at_ms: theApp().now_ms(), result };
  const tests = { ...alarms.peek().tests, [way]: test };
  setAlarms({ tests });
  await setMeta(theApp().store, "alarm_tests", tests);
  return test;
}

const LIGHT_TEST_MS = 3_000;

const WAYS: Readonly<Record<Exclude<AlarmWay, "calendar">, () => Promise<TestResult["result"]>>> = {
  sound: async () => ((await unlockSound()) && play("alarm") ? "worked" : "blocked"),
  vibration: async () => (vibrate("alarm") ? "worked" : "unsupported"),
  light: async () => {
    setAlarms({ testing_light: true });
    setTimeout(() => setAlarms({ testing_light: false }), LIGHT_TEST_MS);
    return "worked";
  },
  wake_lock: async () => {
    if (!("wakeLock" in navigator)) return "unsupported";
    const lock = await navigator.wakeLock.request("screen").catch(() => null);
    await lock?.release();
    return lock ? "worked" : "blocked";
  },
  push: async () => {
    if (alarms.peek().push !== "on") return alarms.peek().push === "blocked" ? "blocked" : "unsupported";
    return (await callOk("POST", "/api/push-test", {})) ? "worked" : "blocked";
  },
};

/** Try one alarm out; the result is stored. The calendar's is a file a minute ahead: `testCalendar`. */
export async function testAlarm(way: Exclude<AlarmWay, "calendar">): Promise<TestResult> {
  return record(way, await WAYS[way]());
}

/** The person says whether the test was noticed at all: that is what counts. */
export function answerTest(way: AlarmWay, noticed: boolean): Promise<TestResult> {
  return record(way, noticed ? "worked" : "unheard");
}

const TEST_AHEAD_MS = 60_000;

export async function testCalendar(title: string): Promise<TestResult> {
  const made_ms = theApp().phone_ms();
  const event = { uid: `test-${made_ms}@temperward`, due_ms: made_ms + TEST_AHEAD_MS, made_ms, title, text: title };
  const given = await handOver(calendarFile([event], "temperward-test"));
  return record("calendar", given ? "worked" : "blocked");
}

function clockOf(piece_id: string, clock_id?: string): { tag: string; clock: Clock } | null {
  const row = blades.peek().find((one) => one.piece_id === piece_id);
  const clocks = row?.fold?.clocks ?? [];
  const clock = clocks.find((one) => one.id === clock_id) ?? clocks.find((one) => one.stages.length > 0);
  return row && clock ? { tag: row.tag, clock } : null;
}

export type Armed =
  | { readonly armed: true; readonly due_ms: number }
  | { readonly armed: false; readonly note: Note | null };

/** Hand one clock to the phone's own calendar: a file with an event and alarm for each stage, made with no network. */
export async function armCalendar(
  piece_id: string,
  clock_id: string | undefined,
  say: (note: Note) => string,
): Promise<Armed> {
  const { now_ms, phone_ms } = theApp();
  const found = clockOf(piece_id, clock_id);
  const stages = found ? calendarStages(found.clock, now_ms()) : [];
  const [first] = stages;
  if (!found || !first) return { armed: false, note: { key: "phone.nothing_to_warn" } };
  const { clock, tag } = found;
  const made_ms = phone_ms(); // the calendar goes by the phone's clock, set back or not
  const ahead_ms = now_ms() - made_ms;
  const events = stages.map(({ stage, due_ms, text }) => ({
    uid: `${clock.id.replace(/[^\w.-]/g, "-")}-${stage}@temperward`,
    due_ms: due_ms - ahead_ms,
    made_ms,
    title: `${tag}: ${say(text)}`,
    text: say(text),
  }));
  if (!(await handOver(calendarFile(events, `temperward-${tag.replace(/[^\w-]/g, "_")}`))))
    return { armed: false, note: null };
  const calendar = { ...alarms.peek().calendar, [clock.id]: first.due_ms };
  setAlarms({ calendar });
  await setMeta(theApp().store, "calendar", calendar);
  return { armed: true, due_ms: first.due_ms };
}

/** What the calendar was given goes by a clock that was set back since: it would come that much late. */
export async function forgetCalendar(): Promise<void> {
  setAlarms({ calendar: {} });
  await setMeta(theApp().store, "calendar", {});
}

async function publicKey(): Promise<string | null> {
  try {
    return (await callJson<{ public_key: string | null }>(fetching, "GET", "/api/push-key")).public_key;
  } catch (error) {
    if (error instanceof CallFailed) return null;
    throw error;
  }
}

const report = (target: PushTarget): Promise<boolean> => callOk("POST", "/api/push-subscriptions", target);

/** Ask for push; only from a tap. It is on when the server knows this phone's address, and not before. */
export async function enablePush(): Promise<void> {
  const possible = pushPossible();
  if (possible !== "off") return setAlarms({ push: possible });
  const key = shop.peek().joined ? await publicKey() : null;
  if (!key) return setAlarms({ push: "no_server" });
  const target = await subscribe(key);
  if (typeof target === "string") return setAlarms({ push: target });
  setAlarms({ push: (await report(target)) ? "on" : "no_server" });
}

export async function forgetPush(): Promise<void> {
  const endpoint = await unsubscribe();
  if (endpoint) await callOk("DELETE", "/api/push-subscriptions", { endpoint });
  setAlarms({ push: pushPossible() });
}

/** At every start: browsers drop subscriptions without a word, so what was on is told to the server again, or is off. */
export async function recheckPush(): Promise<void> {
  const target = await subscribed();
  if (!target) return setAlarms({ push: pushPossible() });
  setAlarms({ push: (await report(target)) ? "on" : "no_server" });
}
