import { effect, signal } from "@preact/signals";
import type { FoldAnswer } from "../engine/types.ts";
import { alarms } from "../state/alarms.ts";
import { openBlade } from "../state/blades.ts";
import { nowMs, people } from "../state/moment.ts";
import { deviceSettings, person } from "../state/person.ts";
import { route } from "../state/route.ts";
import { say, words } from "./say.ts";

/** Minutes and, in the window, seconds at which what is left is told. */
export const TOLD_MIN = [30, 10, 5, 1];
const TOLD_S = [30, 10];

/** A voice that lives on this phone: one from the network would fail offline and listen in. Null: there is none. */
export const voice = signal<SpeechSynthesisVoice | null>(null);

/** The last threshold that was passed on the way to a deadline. */
export function passedOf(thresholds: readonly number[], left: number): number | undefined {
  return thresholds.findLast((one) => left <= one);
}

function leftText({ number, screen }: FoldAnswer): string {
  const left_s = ((number.until_ms ?? 0) - nowMs.value) / 1000;
  if (left_s < 0) return "";
  const seconds = screen === "straighten";
  const passed = seconds ? passedOf(TOLD_S, left_s) : passedOf(TOLD_MIN, left_s / 60);
  return passed === undefined ? "" : say(seconds ? "speak.seconds" : "speak.minutes", { n: passed });
}

/** What is to be heard now: an alarm before all, else the state and its thresholds; nothing while it is quenched. */
function spoken(): string {
  const { ringing } = alarms.value;
  if (!deviceSettings.value.speech_on || people.value) return "";
  if (ringing) return `${ringing.tag}. ${words(ringing.text)}`;
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
