import { beforeEach, expect, it, vi } from "vitest";
import { alarms } from "../state/alarms.ts";
import { openBlade } from "../state/blades.ts";
import { nowMs, people } from "../state/moment.ts";
import { deviceSettings } from "../state/person.ts";
import { route, routeFrom } from "../state/route.ts";
import { foldAnswer } from "../testing/folds.ts";
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

function show(word: string, left_min?: number): void {
  const number = { kind: "countdown" as const, caption: key("") };
  const until = left_min === undefined ? {} : { until_ms: nowMs.peek() + left_min * 60_000 };
  const fold = foldAnswer({ word: key(word), screen: "brittle", number: { ...number, ...until } });
  openBlade.value = {
    piece_id: "p",
    tag: "QF-103",
    fold,
    entries: [],
    card: null,
    earlier_cards: [],
    only_here: new Set(),
    folding: false,
  };
}

beforeEach(() => {
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

it("speaks the state once, and each threshold once", () => {
  followSpeech();
  show("BRITTLE", 12);
  show("BRITTLE", 11);
  show("BRITTLE", 9);
  show("BRITTLE", 8);
  show("BRITTLE", -1);
  expect(said()).toEqual(["brittle. under 30 minutes", "brittle. under 10 minutes", "brittle"]);
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
