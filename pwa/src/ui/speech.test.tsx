import words from "virtual:words";
import { cleanup, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import type { FoldAnswer } from "../engine/types.ts";
import { alarms } from "../state/alarms.ts";
import { openBlade } from "../state/blades.ts";
import { nowMs, people } from "../state/moment.ts";
import { deviceSettings } from "../state/person.ts";
import { route, routeFrom } from "../state/route.ts";
import { brittleClock, foldAnswer, openOf } from "../testing/folds.ts";
import { freshApp } from "../testing/fresh_app.ts";
import { onKey } from "./keys.ts";
import { Status } from "./parts/Overlays.tsx";
import { followSpeech, passedOf, voice } from "./speech.ts";

const LOCAL = { localService: true, lang: "en-GB", name: "own" };
const REMOTE = { localService: false, lang: "en-US", name: "network" };

/** Stands in for the browser's speech: what it was told to say. */
class FakeSpeech extends EventTarget {
  voices: readonly object[] = [REMOTE, LOCAL];
  lines: { text: string; voice: object | null }[] = [];
  getVoices = () => this.voices;
  cancel = () => undefined;
  speak = (line: { text: string; voice: object | null }) => void this.lines.push(line);
}

let speech: FakeSpeech;
const said = () => speech.lines.map(({ text }) => text);
const key = (text: string) => ({ key: `say:${text}` });

/** A blade on the screen; a hard one as the engine shows it: what has passed as the number, what is left as a clock. */
function show(word: string, change: Partial<FoldAnswer> = {}): void {
  const fold = foldAnswer({ log_id: "p", word: key(word), screen: "brittle", ...change });
  openBlade.value = openOf(fold);
}

afterEach(cleanup);

beforeEach(() => {
  freshApp();
  speech = new FakeSpeech();
  vi.stubGlobal("speechSynthesis", speech);
  vi.stubGlobal(
    "SpeechSynthesisUtterance",
    class {
      voice = null;
      constructor(readonly text: string) {}
    },
  );
  people.value = null;
  openBlade.value = null;
  alarms.value = { ...alarms.peek(), ringing: null };
  route.value = routeFrom("#/blade/p");
  deviceSettings.value = { ...deviceSettings.peek(), speech_on: true };
});

it("takes only a voice that lives on the phone, and says that there is none", () => {
  followSpeech();
  expect(voice.value).toBe(LOCAL);
  speech.voices = [REMOTE];
  speech.dispatchEvent(new Event("voiceschanged"));
  expect(voice.value).toBeNull();
  show("BRITTLE");
  expect(said()).toEqual([]);
});

const until = (left_s: number) => ({
  number: { kind: "countdown" as const, until_ms: nowMs.peek() + left_s * 1000, caption: key("") },
});

function hardFor(minutes: number): void {
  const from_ms = nowMs.peek() - minutes * 60_000;
  const clock = brittleClock({ from_ms, due_ms: from_ms + 3_600_000 });
  show("BRITTLE", { number: { kind: "elapsed", from_ms, caption: key("") }, clocks: [clock] });
}

it("speaks the state once, and each threshold once", () => {
  followSpeech();
  for (const minutes of [12, 11, 9, 8, -1]) show("TEMPER 1", { screen: "temper", ...until(minutes * 60) });
  expect(said()).toEqual(["temper 1. under 30 minutes", "temper 1. under 10 minutes", "temper 1"]);
});

it("speaks how long until the alarm of a hard blade, whose number counts what has passed", () => {
  followSpeech();
  for (const minutes of [0, 29, 31, 51, 56, 59.5, 61]) hardFor(minutes);
  expect(said()).toEqual([
    "brittle",
    "brittle. 30 minutes to alarm",
    "brittle. 10 minutes to alarm",
    "brittle. 5 minutes to alarm",
    "brittle. 1 minute to alarm",
    "brittle",
  ]);
});

it("tells a screen reader the same, without the focus", () => {
  hardFor(51);
  render(<Status />);
  expect(screen.getByRole("status").textContent).toContain("10 minutes to alarm");
});

it("speaks the window at 30, 10 and 0 seconds", () => {
  followSpeech();
  for (const seconds of [40, 25, 9, 0]) show("STRAIGHTEN", { screen: "straighten", ...until(seconds) });
  expect(said()).toEqual([
    "straighten",
    "straighten. under 30 seconds",
    "straighten. under 10 seconds",
    "straighten. time is up",
  ]);
});

const STAGES = Object.keys(words).filter((name) => /^fold\.clock\..*\.(reminder|hurry|alarm)$/.test(name));

it.each(STAGES)("says the blade and what to do in six words: %s", (name) => {
  followSpeech();
  const ring = { clock_id: "c", piece_id: "p", kind: "brittle", stage: "alarm", due_ms: 0 } as const;
  alarms.value = { ...alarms.peek(), ringing: { ...ring, tag: "QF-103", text: { key: name } } };
  const [line = ""] = said();
  expect(line.startsWith("QF-103. ")).toBe(true);
  expect(line.split(/\s+/).length, line).toBeLessThanOrEqual(6);
});

it("is muted by one key", () => {
  onKey(new KeyboardEvent("keydown", { key: "m" }));
  expect(deviceSettings.value.speech_on).toBe(false);
});

it("is silent unless it was switched on, and while people come first", () => {
  deviceSettings.value = { ...deviceSettings.peek(), speech_on: false };
  followSpeech();
  show("BRITTLE");
  deviceSettings.value = { ...deviceSettings.peek(), speech_on: true };
  people.value = { kind: "fire", since_ms: 1 };
  show("HOT");
  expect(said()).toEqual(["brittle"]);
});

it("passes the nearest threshold only", () => {
  expect(passedOf([30, 10], 31)).toBeUndefined();
  expect(passedOf([30, 10], 12)).toBe(30);
  expect(passedOf([30, 10], 10)).toBe(10);
});
