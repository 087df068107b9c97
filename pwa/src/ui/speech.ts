import { effect, signal } from "@preact/signals";
import type { FoldAnswer } from "../engine/types.ts";
import { alarms } from "../state/alarms.ts";
import { openBlade } from "../state/blades.ts";
import { nowMs, people } from "../state/moment.ts";
import { deviceSettings, person } from "../state/person.ts";
import { route } from "../state/route.ts";
import { say, words } from "./say.ts";
import { nearestClock } from "./warning.ts";

/** Minutes and, in the window, seconds at which what is left is told. */
const TOLD_MIN = [30, 10, 5, 1];
const TOLD_S = [30, 10, 0];

/** A voice that lives on this phone: one from the network would fail offline and listen in. Null: there is none. */
export const voice = signal<SpeechSynthesisVoice | null>(null);

/** The last threshold that was passed on the way to a deadline. */
export function passedOf(thresholds: readonly number[], left: number): number | undefined {
  return thresholds.findLast((one) => left <= one);
}

/** The instant that the screen counts down to; what is over it counts on, and that is no deadline any more. */
function countedMs({ number: { until_ms = 0 }, screen }: FoldAnswer): number | undefined {
  return screen === "straighten" || until_ms > nowMs.value ? until_ms || undefined : undefined;
}

/** What is left, as far as a threshold was passed: of the number on the screen, else of the clock that warns first. */
export function leftText(fold: FoldAnswer): string {
  const counted_ms = countedMs(fold);
  const left_s = ((counted_ms ?? nearestClock(fold)?.due_ms ?? Infinity) - nowMs.value) / 1000;
  const seconds = fold.screen === "straighten";
  if (left_s < 0 && !seconds) return "";
  const n = seconds ? passedOf(TOLD_S, left_s) : passedOf(TOLD_MIN, left_s / 60);
  if (n === undefined) return "";
  const said = counted_ms ? "minutes" : "alarm";
  return say(`speak.${seconds ? secondsWord(n) : said}`, { n });
}

const secondsWord = (n: number): string => (n > 0 ? "seconds" : "over");

/** What is to be done stands last in an alarm's line; what went before is on the screen. */
const doing = (line: string): string => line.split(/[.:] /).at(-1) ?? line;

/** What is to be heard now: an alarm before all, else the state and its thresholds; nothing while it is quenched. */
function spoken(): string {
  const { ringing } = alarms.value;
  if (!deviceSettings.value.speech_on || people.value) return "";
  if (ringing) return `${ringing.tag}. ${doing(words(ringing.text))}`;
  const fold = openBlade.value?.fold;
  if (!fold || fold.screen === "quench" || route.value.name !== "blade") return "";
  return [words(fold.word).toLowerCase(), leftText(fold)].filter(Boolean).join(". ");
}

/** Speak each change once, by the phone's own voice; a newer word cuts the older short. */
export function followSpeech(): void {
  const speech = globalThis.speechSynthesis;
  if (!speech) return;
  const look = () => {
    const own = speech.getVoices().filter(({ localService }) => localService);
    voice.value = own.find(({ lang }) => lang.startsWith(person.peek().language)) ?? null;
  };
  look();
  speech.addEventListener?.("voiceschanged", look);
  let last = "";
  effect(() => {
    const text = spoken();
    if (text === last || !voice.value) return;
    last = text;
    speech.cancel();
    if (!text) return;
    const line = new SpeechSynthesisUtterance(text);
    line.voice = voice.value;
    line.lang = voice.value.lang;
    speech.speak(line);
  });
}
