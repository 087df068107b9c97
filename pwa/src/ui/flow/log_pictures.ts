import { signal } from "@preact/signals";
import { askLogPictures } from "../../actions/pieces.ts";
import type { LogPictures } from "../../engine/types.ts";
import { openBlade } from "../../state/blades.ts";
import { nowMs, tell } from "../../state/moment.ts";

/** A running temper is drawn anew so often. */
const STALE_MS = 60_000;

export const logPictures = signal<LogPictures | null>(null);
let asked = "";

/** The pictures of the open blade; asked for again whenever its log or the minute has moved. */
export function drawnLog(): LogPictures | null {
  const { piece_id, entries } = openBlade.value ?? { piece_id: "", entries: [] };
  const wanted = `${piece_id} ${entries.length} ${Math.floor(nowMs.value / STALE_MS)}`;
  if (wanted !== asked && entries.length > 0) {
    asked = wanted;
    void askLogPictures(piece_id, entries, nowMs.peek()).then(
      (drawn) => {
        if (wanted === asked) logPictures.value = drawn;
      },
      (problem: unknown) =>
        tell({ id: "drawn", kind: "warning", note: { key: "phone.fold_failed", facts: { reason: String(problem) } } }),
    );
  }
  return logPictures.value?.log_id === piece_id ? logPictures.value : null;
}
