import { ask } from "../../actions/ask.ts";
import { keepLines, type PastLine } from "../../actions/marks.ts";
import type { Note } from "../../engine/types.ts";
import { nowMs } from "../../state/moment.ts";
import { go } from "../../state/route.ts";
import { instantOf } from "../time_text.ts";
import { endForm, type Form, formFor, textIn } from "./form.ts";
import { keptAnswer } from "./kept_answer.ts";
import { logFacts, ofOpenLog } from "./log_pictures.ts";

/** A place for a clock time on the printed card. */
export interface Box {
  readonly id: string;
  readonly title: Note;
  readonly place: Note;
  readonly done: boolean;
}

interface PaperTimes {
  readonly log_id: string;
  readonly boxes: readonly Box[];
  readonly lines: readonly PastLine[];
}

const HALF_DAY_MS = 43_200_000;
/** What the engine makes of the paper; set by the gallery too. */
export const paperTimes = keptAnswer<PaperTimes>("paper_times");

/** The boxes whose marks the log has not got yet. */
export function openBoxes(): readonly Box[] {
  return ofOpenLog(paperTimes)?.boxes.filter(({ done }) => !done) ?? [];
}

export function paperForm(piece_id: string): Form {
  return formFor(`paper:${piece_id}`, { day: new Date(nowMs.peek()).toLocaleDateString("sv") });
}

/** What was typed as instants: the last one on the day, each other before the one after it; null: one is no time. */
export function timesIn(form: Form, boxes: readonly Box[]): Readonly<Record<string, number>> | null {
  let next_ms = Math.min(nowMs.peek(), Date.parse(`${textIn(form, "day")}T23:59:59`) || nowMs.peek());
  const found: Record<string, number> = {};
  for (const { id } of boxes.toReversed()) {
    const typed = textIn(form, id).trim();
    if (!typed) continue;
    const at_ms = instantOf(typed.replace(/^(\d\d?)\D?(\d\d)$/, "$1:$2"), next_ms - HALF_DAY_MS);
    if (at_ms === null) {
      form.missing.value = id;
      return null;
    }
    found[id] = next_ms = at_ms;
  }
  return found;
}

/** All of the paper, kept in one act. */
export function keepPaper(piece_id: string, form: Form, boxes: readonly Box[]): void {
  const times = timesIn(form, boxes);
  if (!times) return;
  void ask<PaperTimes>("paper_times", { ...logFacts(), times })
    .then(({ lines }) => keepLines(piece_id, lines))
    .then(({ kept }) => {
      if (!kept) return;
      endForm(form);
      go("blade", piece_id);
    });
}
