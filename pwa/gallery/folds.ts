import type { Action, Clock, FoldAnswer, Note } from "../src/engine/types.ts";

/** The gallery's own instant: every picture is made at the same moment. */
export const NOW_MS = Date.UTC(2026, 9, 24, 22, 10, 0);

export function note(text: string): Note {
  return { key: `say:${text}` };
}

export function action(label: string, rest: Partial<Action> = {}): Action {
  return { do: "mark", mark: "cold", label: note(label), hold: false, kind: "go", ...rest };
}

export function clock(kind: Clock["kind"], from_min: number, due_min: number): Clock {
  const due_ms = NOW_MS + due_min * 60_000;
  return {
    id: `${kind}:1`,
    kind,
    from_ms: NOW_MS - from_min * 60_000,
    due_ms,
    paused: false,
    stages: [{ stage: "alarm", due_ms, text: note("alarm"), useful_s: 600 }],
    text: note("alarm"),
  };
}

const PLAIN: FoldAnswer = {
  log_id: "p1",
  count: 12,
  last_id: "e12",
  tag: "QF-102",
  name: "long single-edge",
  state: { id: "cycle_cooling", cycle: 2, temper: null, since_ms: NOW_MS - 300_000 },
  screen: "step",
  shape: "triangle",
  word: note("COOLING"),
  hazards: ["HOT"],
  hazard_line: note("black is not cold"),
  sentence: note("Still air. Clamp by the tang."),
  caution: null,
  why: note("Still air keeps both sides cooling alike, so the blade stays straight."),
  number: { kind: "countdown", until_ms: NOW_MS + 700_000, caption: note("until cold enough to hold") },
  next: action("Cold: check straight"),
  offers: [],
  more: [],
  gates: [],
  clocks: [],
  window: null,
  findings: [],
  flags: [],
  people: null,
  bows: [],
  trend: null,
  conflicts: [],
  overrides: [],
  corrected: [],
  withdrawn: [],
  unread: [],
  undo: { entry_id: "e12", until_ms: NOW_MS + 500_000 },
  catch_up: [],
  danger: 3,
  step: "cycle-2",
  cycles_done: 2,
  cycles_planned: 3,
  facts: {},
  changes_at_ms: [],
};

export function fold(rest: Partial<FoldAnswer>): FoldAnswer {
  return { ...PLAIN, ...rest };
}
