import english from "virtual:words";
import type { FactValue, Note } from "../engine/types.ts";
import { clockTime } from "./time_text.ts";
import { shown } from "./units.ts";

type Words = typeof english;

const MINUTE_S = 60;
const LONG_S = 120;
const LONG_MIN = 90;

function plain(value: number, decimals = 2): string {
  return String(Number(value.toFixed(decimals)));
}

/** A stretch of time: seconds up to two minutes, minutes up to an hour and a half, hours beyond. */
function stretch(seconds: number): string {
  if (seconds < LONG_S) return `${plain(seconds, seconds < 10 ? 1 : 0)} s`;
  const minutes = Math.round(seconds / MINUTE_S);
  if (seconds % MINUTE_S !== 0 && minutes < 10)
    return `${Math.floor(seconds / MINUTE_S)} min ${plain(seconds % MINUTE_S, 0)} s`;
  if (minutes < LONG_MIN) return `${minutes} min`;
  return minutes % 60 === 0 ? `${minutes / 60} h` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

/** How a number is shown follows from the ending of its name. */
const ENDINGS: Readonly<Record<string, (value: number) => string>> = {
  c: (value) => shown(value, "temperature"),
  k: (value) => shown(value, "interval"),
  mm: (value) => shown(value, "length"),
  s: stretch,
  min: (value) => stretch(value * MINUTE_S),
  ms: (value) => clockTime(value),
  hrc: (value) => `${plain(value, 1)} HRC`,
  pct: (value) => `${plain(value)} %`,
  l: (value) => `${plain(value, 1)} L`,
};

function factText(name: string, value: FactValue | undefined, words: Words): string {
  if (typeof value === "number") return (ENDINGS[name.slice(name.lastIndexOf("_") + 1)] ?? plain)(value);
  if (value === null || value === undefined) return "?";
  if (typeof value !== "object") return String(value);
  if ("key" in value) return render(value as Note, words);
  return (value as readonly FactValue[]).map((one) => factText(name, one, words)).join(", ");
}

const TWICE = /(-?[\d.]+) (°C|°F|K|mm|thou|HRC|%|s|min|L)(,? (?:of|to|and|or) )(-?[\d.]+) \2(?!\w)/g;

/**
 * One note as a sentence, in the person's units; a unit that two neighbours share is said once.
 * The server renders the same way in wording.py; both are held to tests/common/wording_cases.json.
 */
export function render(note: Note, words: Words = english): string {
  const text = words[note.key];
  const facts = note.facts ?? {};
  if (text === undefined) return note.key.startsWith("say:") ? note.key.slice(4) : `[${note.key}]`;
  const sentence = typeof text === "string" ? text : facts.n === 1 ? text.one : text.other;
  const filled = sentence.replace(/\{(\w+)\}/g, (_, name: string) => factText(name, facts[name], words));
  return filled.replace(TWICE, "$1$3$4 $2");
}
