import { relatedThings } from "../../actions/related.ts";
import type { LogPictures } from "../../engine/types.ts";
import { openBlade } from "../../state/blades.ts";
import { nowMs } from "../../state/moment.ts";
import { keptAnswer } from "./kept_answer.ts";

/** A running temper is drawn anew so often. */
const STALE_MS = 60_000;

export const { answer: logPictures, read } = keptAnswer<LogPictures>("log_pictures");

/** The pictures of the open blade; asked for again whenever its log or the minute has moved. */
export function drawnLog(): LogPictures | null {
  const { piece_id: log_id, entries } = openBlade.value ?? { piece_id: "", entries: [] };
  const wanted = entries.length > 0 ? `${log_id} ${entries.length} ${Math.floor(nowMs.value / STALE_MS)}` : null;
  const drawn = read(wanted, () => ({
    log_kind: "piece",
    log_id,
    entries,
    ...relatedThings(),
    now_ms: nowMs.peek(),
  }));
  return drawn?.log_id === log_id ? drawn : null;
}
