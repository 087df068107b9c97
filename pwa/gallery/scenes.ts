import type { FoldAnswer } from "../src/engine/types.ts";
import { alarms } from "../src/state/alarms.ts";
import { blades, openBlade } from "../src/state/blades.ts";
import { deviceSettings, person } from "../src/state/person.ts";
import { outbox } from "../src/state/outbox.ts";
import { away, type Notice, notices, people } from "../src/state/moment.ts";
import { shop } from "../src/state/shop.ts";
import { CHECK_FORMS } from "../src/ui/check_forms.ts";
import { shopDevices } from "../src/ui/flow/devices.ts";
import { formFor } from "../src/ui/flow/form.ts";
import { findingCards } from "../src/ui/flow/finding_cards.ts";
import { cardPreview } from "../src/ui/flow/new_blade.ts";
import type { LogPictures } from "../src/engine/types.ts";
import { paperTimes } from "../src/ui/flow/paper.ts";
import { logPictures } from "../src/ui/flow/log_pictures.ts";
import { action, fold, NOW_MS, note } from "./folds.ts";
import { showEight } from "./batch.ts";
import { openOf } from "../src/testing/folds.ts";
import { BOWS, CARD, ENTRIES, FINDINGS, TREND } from "./sitting.ts";
import { FOLDS } from "./working.ts";
import DRAWN from "./log_pictures.json" with { type: "json" };

export interface Scene {
  readonly route: string;
  readonly set: () => void;
}

export function open(fold: FoldAnswer, piece_id = "p1"): void {
  openBlade.value = { ...openOf(fold), piece_id };
}

function working(): Record<string, Scene> {
  const made: Record<string, Scene> = {};
  for (const [name, fold] of Object.entries(FOLDS)) made[name] = { route: "#/blade/p1", set: () => open(fold) };
  return made;
}

function rows(): void {
  const names = ["brittle", "temper", "step-cooling", "gate-not-yet", "step-ground-ready", "step-nothing"];
  blades.value = names.map((name, at) => {
    const fold = FOLDS[name] as FoldAnswer;
    return { piece_id: `p${at}`, tag: fold.tag, fold, only_here: 0 };
  });
  outbox.value = { ...outbox.value, entries: 7, photos: 2 };
}

/** What the engine drew of two logs, once: a bow that grows, a temper whose power failed. */
const drawn = () => {
  if (openBlade.value) openBlade.value = { ...openBlade.value, entries: ENTRIES };
  logPictures.value = DRAWN as unknown as LogPictures;
};
const bowed = () => {
  open(fold({ bows: BOWS, trend: TREND, flags: [TREND_FLAG] }));
  drawn();
};
const logged = () => {
  open(fold({ withdrawn: ["e9"], corrected: [{ entry_id: "e5", by: "e7" }] }));
  const blade = openBlade.value;
  if (blade) openBlade.value = { ...blade, entries: ENTRIES, card: { entry_id: "c", card: CARD }, only_here: new Set(["e10"]) };
};
const TREND_FLAG = { id: "trend", facts: {}, text: note("It grew twice running."), shape: "octagon" as const };
const cards = () => {
  findingCards.value = FINDINGS;
  open(fold({ findings: [{ id: "crack_seen", entry_id: "e1", open: true, facts: {} }] }));
};
const touchOff = (fold: FoldAnswer) => () => {
  open(fold);
  deviceSettings.value = { ...deviceSettings.value, touch_off: true };
};
const cutOff = () => {
  findingCards.value = FINDINGS.map((card) => ({ ...card, id: "power_cut_in_temper" }));
  open(fold({ facts: { temper: { set_c: 205, planned_s: 7200, steel: "O1" } } }));
};
const plain = () => open(fold({}));
const measured = () => {
  open(FOLDS["brittle-hour"] as FoldAnswer);
  deviceSettings.value = { ...deviceSettings.value, px_per_mm: 6.4 };
};

/** Every check that there is, so that none is left out when one is added. */
function checks(): Record<string, Scene> {
  const names = [...Object.keys(CHECK_FORMS), "straightness"];
  return Object.fromEntries(names.map((name) => [`check-${name}`, { route: `#/blade/p1/check/${name}`, set: plain }]));
}

/** What the person must be told stands above whatever is open. */
function noticed(): Record<string, Scene> {
  const told: Record<string, Notice> = {
    "not-kept": { id: "full", kind: "not_kept", note: { key: "phone.full" } },
    battery: { id: "battery", kind: "warning", note: { key: "phone.battery_low", facts: { left_pct: 12 } } },
    "clock-back": { id: "clock_back", kind: "warning", note: { key: "phone.clock_back", facts: { back_min: 60 } } },
  };
  const scenes = Object.entries(told).flatMap(([name, notice]) => [
    [`notice-${name}`, { route: "#/blade/p1", set: () => { open(FOLDS["brittle"] as FoldAnswer); notices.value = [notice]; } }],
    [`notice-${name}-list`, { route: "#/blades", set: () => { rows(); notices.value = [notice]; } }],
  ]);
  return Object.fromEntries(scenes) as Record<string, Scene>;
}

/** A value that was refused: the field says which, and what it takes. */
function refusedBlade(): void {
  const form = formFor("new", {});
  form.values.value = { ...form.values.value, tag: "QF-112", thickness_mm: "400", length_mm: "1,250" };
  form.refusal.value = { field: "thickness_mm", value: 400, low: 0.5, high: 25, unit: "mm", reason: "refusal.out_of_range" };
}
function refusedCheck(): void {
  plain();
  const form = formFor("check:p1:bath_temperature", { temperature_c: "" }, "temperature_c");
  form.values.value = { temperature_c: "900" };
  form.refusal.value = { field: "temperature_c", value: 900, low: -20, high: 400, unit: "degC", reason: "refusal.out_of_range" };
}

const american = (set: () => void) => () => {
  person.value = { ...person.value, temperature_unit: "f", length_unit: "thou" };
  set();
};
const leftHanded = (name: string) => () => {
  person.value = { ...person.value, hand: "left" };
  open(FOLDS[name] as FoldAnswer);
};

/** Units, hand, refusals and what the shop asks for. */
const OTHERS: Record<string, Scene> = {
  sources: { route: "#/sources", set: () => undefined },
  "not-here": { route: "#/blade/p9", set: () => undefined },
  "new-refused": { route: "#/new", set: refusedBlade },
  "check-bath_temperature-refused": { route: "#/blade/p1/check/bath_temperature", set: refusedCheck },
  devices: { route: "#/settings", set: () => {
    shop.value = { ...shop.value, joined: true, role: "owner" };
    shopDevices.value = DEVICES;
  } },
  "american-fire": { route: "#/blade/p1", set: american(() => open(FOLDS["step-ground-ready"] as FoldAnswer)) },
  "american-gate": { route: "#/blade/p1", set: american(() => open(FOLDS["gate-not-yet"] as FoldAnswer)) },
  "american-straightness": { route: "#/blade/p1/straightness", set: american(() => bowed()) },
  "american-new": { route: "#/new", set: american(() => undefined) },
  "american-shop": { route: "#/shop", set: american(() => undefined) },
  "american-check": { route: "#/blade/p1/check/edge_thickness", set: american(() => plain()) },
  "left-brittle": { route: "#/blade/p1", set: leftHanded("brittle") },
  "left-gate": { route: "#/blade/p1", set: leftHanded("gate-not-yet") },
};
const DEVICES = [
  { device_id: "d1", name: "Phone on the bench", role: "owner", own: true, revoked_ms: null },
  { device_id: "d2", name: "TK's phone", role: "smith", own: false, revoked_ms: null },
  { device_id: "d3", name: "Old tablet", role: "viewer", own: false, revoked_ms: NOW_MS },
] as never;

function caughtUp(): void {
  rows();
  away.value = { from_ms: NOW_MS - 7_200_000, to_ms: NOW_MS };
  const texts = ["Quenched 2 hours ago. Is it in the oven?", "The hold ended 12 minutes ago."];
  const answers = [action("It is in the oven"), action("Not yet"), action("Went wrong")];
  blades.value = blades.value.map((row, at) =>
    texts[at] && row.fold ? { ...row, fold: { ...row.fold, catch_up: [{ danger: at, text: note(texts[at]), answers }] } } : row,
  );
}

/** The boxes of a card that the log has no marks for. */
function onPaper(): void {
  logged();
  const lines = [["Cycle 1", "in"], ["Cycle 1", "out"], ["Quench", "in"], ["Temper 1", "in"], ["Temper 1", "at heat"], ["Temper 1", "out"]];
  const boxes = lines.map(([title = "", place = ""], at) => ({ id: `b${at}`, title: note(title), place: note(place), done: false }));
  paperTimes.answer.value = { log_id: "p1", boxes, lines: [] };
}

export const SCENES: Readonly<Record<string, Scene>> = {
  ...checks(),
  ...noticed(),
  ...OTHERS,
  "batch-eight": { route: "#/batch", set: showEight },
  bath: { route: "#/bath", set: showEight },
  "caution-read": { route: "#/blade/p1", set: () => {
    plain();
    deviceSettings.value = { ...deviceSettings.value, cautions_read: { "say:black is not cold": NOW_MS } };
  } },
  "card-width": { route: "#/card-width", set: plain },
  "brittle-measured": { route: "#/blade/p1", set: measured },
  "touch-off": { route: "#/blade/p1", set: touchOff(FOLDS["brittle"] as FoldAnswer) },
  straightness: { route: "#/blade/p1/straightness", set: bowed },
  "wrong-list": { route: "#/blade/p1/wrong", set: cards },
  "wrong-power-cut": { route: "#/blade/p1/wrong/power_cut_in_temper", set: cutOff },
  "wrong-card": { route: "#/blade/p1/wrong/bow_growing", set: cards },
  "people-fire": { route: "#/blades", set: () => { people.value = { kind: "fire", since_ms: NOW_MS }; } },
  "people-co": { route: "#/blades", set: () => { people.value = { kind: "co", since_ms: NOW_MS }; } },
  "people-hurt": { route: "#/blades", set: () => { people.value = { kind: "hurt", since_ms: NOW_MS }; } },
  override: { route: "#/blade/p1/override/ready_to_harden", set: () => open(FOLDS["gate-not-yet"] as FoldAnswer) },
  more: { route: "#/blade/p1/more", set: () => open(fold({ more: [action("Put aside"), action("Scrap it", { hold: true, kind: "stop" })] })) },
  earlier: { route: "#/blade/p1/earlier", set: logged },
  note: { route: "#/blade/p1/note", set: plain },
  photo: { route: "#/blade/p1/photo", set: plain },
  paper: { route: "#/blade/p1/paper", set: onPaper },
  log: { route: "#/log/p1", set: logged },
  card: { route: "#/card/p1", set: () => { logged(); drawn(); } },
  new: { route: "#/new", set: () => undefined },
  "new-card": { route: "#/new", set: () => { cardPreview.value = CARD; } },
  settings: { route: "#/settings", set: () => undefined },
  shop: { route: "#/shop", set: () => undefined },
  join: { route: "#/join/ABCD2345", set: () => undefined },
  notices: { route: "#/notices", set: () => undefined },
  "catch-up": { route: "#/blades", set: caughtUp },
  ringing: { route: "#/blade/p1", set: () => {
    open(FOLDS["brittle"] as FoldAnswer);
    alarms.value = { ...alarms.value, ringing: { clock_id: "c", piece_id: "p1", tag: "QF-103", kind: "brittle", stage: "alarm", due_ms: NOW_MS, text: note("Into the oven now") } };
  } },
  "ringing-other": { route: "#/blade/p1", set: () => {
    open(FOLDS["step-cooling"] as FoldAnswer);
    alarms.value = { ...alarms.value, ringing: { clock_id: "c", piece_id: "p9", tag: "QF-103", kind: "brittle", stage: "hurry", due_ms: NOW_MS, text: note("Into the oven now") } };
  } },
  blades: { route: "#/blades", set: rows },
  "blades-none": { route: "#/blades", set: () => undefined },
  ...working(),
  "brittle-nobody": {
    route: "#/blade/p1",
    set: () => {
      open(FOLDS["brittle"] as FoldAnswer);
      alarms.value = { ...alarms.value, visible: false };
    },
  },
};
