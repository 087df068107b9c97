import type { Body, Note } from "../engine/types.ts";
import { openBlade } from "../state/blades.ts";
import { type Kept, keep, type When } from "./keep.ts";

const line = (piece_id: string, kind: string, body: Body) =>
  keep([{ log_kind: "piece", log_id: piece_id, kind, body }]);

/** Take an entry back. It stays in the log, struck through. */
export function withdraw(piece_id: string, entry_id: string): Promise<Kept> {
  return line(piece_id, "withdraw", { entry_id });
}

/** Undo, one step per press, as long as the engine offers it. */
export function withdrawLast(piece_id: string): Promise<Kept> {
  const open = openBlade.peek();
  const undo = open?.piece_id === piece_id ? open.fold?.undo : null;
  if (!undo) return Promise.resolve({ kept: false, note: { key: "phone.nothing_to_undo" } satisfies Note });
  return withdraw(piece_id, undo.entry_id);
}

export interface Correction {
  /** The whole new body, if the values were wrong. */
  readonly body?: Body;
  readonly happened_ms?: number;
  readonly plus_minus_s?: number;
  readonly reason?: string;
}

/** A new entry that corrects an old one; the old value stays visible. */
export function correctEntry(piece_id: string, entry_id: string, correction: Correction): Promise<Kept> {
  return line(piece_id, "correct", { entry_id, ...correction });
}

/** It happened at another moment than it was written down. */
export function moveMark(
  piece_id: string,
  entry_id: string,
  when: Pick<When, "happened_ms" | "plus_minus_s">,
): Promise<Kept> {
  const { happened_ms, plus_minus_s } = when;
  return correctEntry(piece_id, entry_id, { happened_ms, plus_minus_s });
}

/** Of several values for one check, this one counts. */
export function chooseValue(piece_id: string, entry_id: string): Promise<Kept> {
  return line(piece_id, "choose", { entry_id });
}

/** Two logs of one blade: said in both. */
export function sameAs(piece_id: string, other_id: string): Promise<Kept> {
  return keep([
    { log_kind: "piece", log_id: piece_id, kind: "same_as", body: { log_id: other_id } },
    { log_kind: "piece", log_id: other_id, kind: "same_as", body: { log_id: piece_id } },
  ]);
}
