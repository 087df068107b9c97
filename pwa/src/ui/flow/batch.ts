import { signal } from "@preact/signals";
import { withdrawLast } from "../../actions/corrections.ts";
import { makeFinding } from "../../actions/findings.ts";
import { makeMark } from "../../actions/marks.ts";
import type { BatchAnswer, Body } from "../../engine/types.ts";
import { blades } from "../../state/blades.ts";
import { nowMs } from "../../state/moment.ts";
import { go } from "../../state/route.ts";
import { keptAnswer } from "./kept_answer.ts";

/** Advice by the clock is asked for again after so long. */
const STALE_MS = 10_000;

export const { answer: batchAnswer, read } = keptAnswer<BatchAnswer>("batch");
/** Which one fell is being asked. */
export const dropping = signal(false);
/** The blades that were last put into the oven together: one press takes all of them back. */
export const loaded = signal<readonly string[]>([]);

/** The rows of the blades between ready to harden and out of the oven, as their folds give them. */
export function lots(): readonly Body[] {
  return blades.value.flatMap(({ fold }) => (fold?.lot ? [fold.lot] : []));
}

/** Ask the engine about the batch whenever a blade or the time has moved. */
export function readBatch(): void {
  const rows = lots();
  const wanted = rows.length > 0 ? JSON.stringify([rows, Math.floor(nowMs.value / STALE_MS)]) : null;
  read(wanted, () => ({ blades: rows, now_ms: nowMs.peek() }));
}

/** One mark for every blade that goes into the oven now. */
export function loadOven(ids: readonly string[]): void {
  const [first, ...also] = ids;
  if (!first) return;
  loaded.value = ids;
  void makeMark(first, "in_oven", { body: { purpose: "temper" }, also });
}

export function takeOut(): void {
  for (const id of loaded.value) void withdrawLast(id);
  loaded.value = [];
}

/** A tile opens its blade; after "one fell" it says which. */
export function pressTile(piece_id: string): void {
  const fell = dropping.value ? ["wrong", "dropped_hard"] : [];
  if (dropping.value) void makeFinding(piece_id, "dropped_hard");
  dropping.value = false;
  go("blade", piece_id, ...fell);
}
