import type { Clock, FoldAnswer, Stage, StageId } from "../engine/types.ts";
import type { OpenBlade } from "../state/blades.ts";

/** A folded blade as the engine would answer, for what only shows, rings or sorts. */
export function foldAnswer(change: Partial<FoldAnswer> = {}): FoldAnswer {
  const note = { key: "fold.word.hard" };
  return {
    log_id: "piece-1",
    count: 1,
    last_id: "entry-1",
    tag: "QF-103",
    name: null,
    state: { id: "hard", cycle: null, temper: null, since_ms: 0 },
    screen: "brittle",
    shape: "octagon",
    word: note,
    hazards: ["BRITTLE"],
    hazard_line: null,
    sentence: note,
    caution: null,
    why: null,
    number: { kind: "none", caption: note },
    next: null,
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
    undo: null,
    catch_up: [],
    danger: 1,
    step: null,
    cycles_done: 0,
    cycles_planned: 3,
    facts: {},
    changes_at_ms: [],
    ...change,
  };
}

const stage = (id: StageId, due_ms: number): Stage => ({
  stage: id,
  due_ms,
  text: { key: `fold.clock.brittle.${id}` },
  useful_s: 600,
  presses: id !== "reminder",
});

export function brittleClock(change: Partial<Clock> = {}): Clock {
  return {
    id: "brittle:quench-1",
    kind: "brittle",
    from_ms: 0,
    due_ms: 3_600_000,
    paused: false,
    stages: [stage("reminder", 600_000), stage("hurry", 1_800_000), stage("alarm", 3_600_000)],
    text: { key: "fold.clock.brittle" },
    ...change,
  };
}

/** A blade that is open, with nothing in its log but what the fold says. */
export function openOf(fold: FoldAnswer): OpenBlade {
  return {
    piece_id: fold.log_id,
    tag: fold.tag,
    fold,
    entries: [],
    card: null,
    earlier_cards: [],
    only_here: new Set(),
    folding: false,
  };
}
