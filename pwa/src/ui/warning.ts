import type { Clock, FoldAnswer } from "../engine/types.ts";

/** The clock that warns first: the one to be told about. */
export function nearestClock({ clocks }: FoldAnswer): Clock | undefined {
  return clocks
    .filter(({ stages }) => stages.length > 0)
    .sort((one, other) => (one.due_ms ?? Infinity) - (other.due_ms ?? Infinity))[0];
}
