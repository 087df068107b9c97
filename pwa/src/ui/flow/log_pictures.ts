import { ENGINE_VERSION } from "../../actions/ask.ts";
import { relatedThings } from "../../actions/related.ts";
import type { Body, CardOffer, LogPictures } from "../../engine/types.ts";
import { openBlade } from "../../state/blades.ts";
import { nowMs } from "../../state/moment.ts";
import { type KeptAnswer, keptAnswer } from "./kept_answer.ts";

/** A running temper is drawn anew so often. */
const STALE_MS = 60_000;

const pictures = keptAnswer<LogPictures>("log_pictures");
export const { answer: logPictures, read } = pictures;
export const offered = keptAnswer<CardOffer>("card_offer");

/** The open blade's log, as questions about it take it. */
export function logFacts(): Body {
  const { piece_id: log_id, entries } = openBlade.peek() ?? {};
  return { log_kind: "piece", log_id, entries, ...relatedThings(), now_ms: nowMs.peek() };
}

/** What the engine says of the open blade's log; asked for again whenever the log or the minute has moved. */
export function ofOpenLog<Answer extends { readonly log_id: string }>(
  { read }: KeptAnswer<Answer>,
  more?: Body,
): Answer | null {
  const { piece_id: log_id, entries } = openBlade.value ?? { piece_id: "", entries: [] };
  const wanted = entries.length > 0 ? `${log_id} ${entries.length} ${Math.floor(nowMs.value / STALE_MS)}` : null;
  const said = read(wanted, () => ({ ...logFacts(), ...more }));
  return said?.log_id === log_id ? said : null;
}

export const drawnLog = (): LogPictures | null => ofOpenLog(pictures);

/** Whether this version's card would say something else; not asked while the blade is in work. */
export const cardOffer = (): CardOffer | null =>
  openBlade.value?.fold?.at_work ? null : ofOpenLog(offered, { engine_version: ENGINE_VERSION });
