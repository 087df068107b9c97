import type { Clock, FoldAnswer, Stage, StageId } from "../engine/types.ts";
import type { Ringing } from "../state/alarms.ts";

/** What the alarms look at: blades with their last folds. */
export interface Watched {
  readonly piece_id: string;
  readonly tag: string;
  readonly fold: FoldAnswer | null;
}

const WEIGHT: Readonly<Record<StageId, number>> = { alarm: 0, hurry: 1, reminder: 2 };

/** A week-old blade that was put aside must not stand before a hard one: the engine's own danger decides, unknown is last. */
const dangerOf = (watched: readonly Watched[], ring: Ringing): number =>
  watched.find((blade) => blade.piece_id === ring.piece_id)?.fold?.danger ?? Number.MAX_SAFE_INTEGER;

export const silenceKey = (clock_id: string, stage: StageId): string => `${clock_id}:${stage}`;

interface Running {
  readonly blade: Watched;
  readonly clock: Clock;
  readonly stage: Stage;
}

function runningStages(watched: readonly Watched[]): Running[] {
  return watched.flatMap((blade) =>
    (blade.fold?.clocks ?? [])
      .filter((clock) => !clock.paused)
      .flatMap((clock) => clock.stages.map((stage) => ({ blade, clock, stage }))),
  );
}

/** The last stage that each running clock has passed: an earlier one of the same clock has nothing more to say. */
function reached(watched: readonly Watched[], now_ms: number): Ringing[] {
  const worst = new Map<string, Ringing>();
  for (const { blade, clock, stage } of runningStages(watched)) {
    if (stage.due_ms > now_ms) continue;
    const held = worst.get(clock.id);
    if (held && held.due_ms >= stage.due_ms) continue;
    worst.set(clock.id, {
      clock_id: clock.id,
      piece_id: blade.piece_id,
      tag: blade.tag,
      kind: clock.kind,
      stage: stage.stage,
      due_ms: stage.due_ms,
      text: stage.text,
    });
  }
  return [...worst.values()];
}

/** What rings now: the worst stage reached that nobody has heard yet, of the blade in most danger. Clocks that are paused or gone never ring. */
export function ringingNow(watched: readonly Watched[], now_ms: number, silenced: readonly string[]): Ringing | null {
  const unheard = reached(watched, now_ms).filter((ring) => !silenced.includes(silenceKey(ring.clock_id, ring.stage)));
  unheard.sort(
    (a, b) => WEIGHT[a.stage] - WEIGHT[b.stage] || dangerOf(watched, a) - dangerOf(watched, b) || a.due_ms - b.due_ms,
  );
  return unheard[0] ?? null;
}

/** Ends of the straightening windows that are open. */
export function windowEndsMs(watched: readonly Watched[]): number[] {
  const clocks = watched.flatMap((blade) => blade.fold?.clocks ?? []);
  return clocks.flatMap((clock) => (clock.kind === "window" && clock.due_ms !== null ? [clock.due_ms] : []));
}

/** When something next comes due, to wake up exactly then. */
export function nextDueMs(watched: readonly Watched[], now_ms: number): number | null {
  const due = [...runningStages(watched).map(({ stage }) => stage.due_ms), ...windowEndsMs(watched)];
  const coming = due.filter((due_ms) => due_ms > now_ms);
  return coming.length === 0 ? null : Math.min(...coming);
}

/** A clock with stages runs on some blade, or it is in hand: the screen should stay lit. */
export function isUrgent(watched: readonly Watched[]): boolean {
  return runningStages(watched).length > 0 || watched.some(({ fold }) => fold?.at_work);
}

/** The stages a calendar file is made for: those to come that press. */
export function calendarStages(clock: Clock, now_ms: number): readonly Stage[] {
  return clock.stages.filter(({ due_ms, presses }) => presses && due_ms > now_ms).sort((a, b) => a.due_ms - b.due_ms);
}
