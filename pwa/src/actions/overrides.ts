import { type Kept, keep } from "./keep.ts";

/** Go on although a stop point is shut: why, and who says so. */
export function makeOverride(
  piece_id: string,
  gate: string,
  items: readonly string[],
  reason: string,
  initials: string,
): Promise<Kept> {
  return keep([{ log_id: piece_id, kind: "override", body: { gate, items, reason, initials } }]);
}

export function makeChoice(piece_id: string, choice: string, text?: string): Promise<Kept> {
  const body = text ? { choice, text } : { choice };
  return keep([{ log_id: piece_id, kind: "choice", body }]);
}
