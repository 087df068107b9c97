import type { Card, Entry, FindingCard } from "../src/engine/types.ts";
import { NOW_MS, note } from "./folds.ts";

export const BOWS = [0.15, 0.3, 0.55].map((bow_mm, at) => ({
  entry_id: `b${at}`,
  after: note(at === 0 ? "ground" : `cycle ${at}`),
  cycle: at,
  bow_mm,
  at_mm: 210,
  length_mm: 420,
  limit_mm: 0.42,
  side: "left" as const,
  stations: [0, 0.1, 0.35, 0.55, 0.45, 0.2, 0].map((deviation, place) => ({
    at_mm: place * 70,
    gap_mm: 1 + deviation,
    bow_mm: (deviation * bow_mm) / 0.55,
  })),
}));

export const TREND = { flag: true, noise_limit_mm: 0.141, expected_next: { value: 0.73 } };

export const FINDINGS: readonly FindingCard[] = [
  ["bow_growing", "Bow grows from heat to heat", "Look for the cause before you harden."],
  ["file_bites", "A file bites where it must not", "Blade on wood, stone the spot clean."],
  ["crack_seen", "Crack seen or heard", "No bending. Temper it or keep as a sample."],
  ["flare_up", "Flare-up with the blade in", "Push it under and hold five seconds."],
].map(([id = "", title = "", now = ""]) => ({
  id,
  title: note(title),
  do_now: note(now),
  do_not: note("Harden it in the hope that it goes away."),
  then: note("Uneven grind, rest points, draught, clamp: change one thing, run one more cycle, read it again."),
  where: id === "bow_growing" ? ["cycle_cooling"] : [],
  people: null,
  asks: null,
}));

const BANDED = { coverage: 0.9, sources: ["practice"], notes: [note("0.75 %C dissolved, all of it martensite")] };

export const CARD = {
  card_version: 1,
  facts: {},
  steel: {},
  dissolved_carbon_pct: { value: 0.72, unit: "pct", low: 0.68, high: 0.76, ...BANDED },
  numbers: [
    { id: "harden", label: note("Hardening heat"), value: 810, unit: "degC", low: 800, high: 820, ...BANDED },
    { id: "hrc", label: note("Hard, before temper"), value: 64, unit: "HRC", low: 62.5, high: 65.5, ...BANDED },
    { id: "edge", label: note("Leave at the edge"), value: 0.74, unit: "mm", low: 0.66, high: 0.9, ...BANDED },
  ],
  verdict: note("Hardens through. Margin about four times."),
  verdict_notes: [note("810 °C, fast oil, edge and spine")],
  flags: [],
  warnings: [note("Feeler readings before each heat: this blade is long and thin.")],
  steps: [
    {
      n: 1,
      id: "cycle-1",
      kind: "cycle",
      cycle: 1,
      states: [],
      title: note("Cycle 1 of 3"),
      set_points: [
        {
          id: "temperature",
          label: note("Heat"),
          value: 870,
          unit: "degC",
          minus: 15,
          plus: 15,
          kind: "value",
          sources: ["practice"],
          notes: [note("the steel's normalising temperature")],
        },
        {
          id: "soak",
          label: note("Soak at even colour"),
          value: 180,
          unit: "s",
          minus: 60,
          plus: 120,
          kind: "value",
          sources: ["practice"],
          notes: [],
        },
      ],
      checks: [{ check: "straightness", text: note("Cold: feeler readings, seven stations.") }],
      hazards: ["HOT"],
      cautions: [note("Black is not cold: treat steel as hot until measured.")],
      why: note("Heating above the change and cooling in still air evens out the grain from forging."),
      follow_ups: [],
    },
  ],
  limits: {},
} as unknown as Card;

let count = 0;
function entry(kind: string, body: Entry["body"], before_min: number, rest: Partial<Entry> = {}): Entry {
  count += 1;
  return {
    id: `e${count}`,
    log_kind: "piece",
    log_id: "p1",
    kind,
    version: 1,
    body,
    lamport: count,
    happened_ms: NOW_MS - before_min * 60_000,
    written_ms: NOW_MS - before_min * 60_000,
    plus_minus_s: 1,
    utc_offset_min: 60,
    zone: "Europe/Dublin",
    at_source: "live",
    device_id: "d1",
    member_id: "m1",
    initials: "MO",
    engine_version: "0",
    ...rest,
  };
}

export const ENTRIES: readonly Entry[] = [
  entry("piece_made", { tag: "QF-102" }, 300),
  entry("mark", { mark: "ground_ready" }, 240),
  entry("check", { check: "edge_thickness", readings_mm: [1, 1.05, 0.98] }, 238),
  entry("mark", { mark: "in_fire" }, 120),
  entry("mark", { mark: "out_of_fire" }, 110, { at_source: "back_dated" }),
  entry("check", { check: "straightness", length_mm: 420, pad_mm: 1, stations: [1, 2, 3], side: "left" }, 90),
  entry("correct", { entry_id: "e5", happened_ms: NOW_MS - 112 * 60_000 }, 89),
  entry("note", { text: "rested on the cold brick, rear third" }, 60, { initials: "TK" }),
  entry("mark", { mark: "cold" }, 30),
  entry("override", { gate: "ready_to_harden", reason: "oven at 188, rising", initials: "MO" }, 10),
];
