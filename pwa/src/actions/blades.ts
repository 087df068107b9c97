import type { FoldAnswer } from "../engine/types.ts";
import { type BladeRow, blades, bladesRead, openBlade } from "../state/blades.ts";
import { nowMs } from "../state/moment.ts";
import { kindOf, logKeys, readLog } from "../store/entries.ts";
import { readFolds } from "../store/folds.ts";
import { onlyHere, onlyHerePerLog } from "../store/outbox.ts";
import type { FoldRow } from "../store/schema.ts";
import { cardsOf } from "./cards.ts";
import { theApp } from "./context.ts";
import { foldIfStale, foldLater, foldOpenLog, isStale, runFold } from "./folding.ts";
import { setBladeRows, showFold } from "./rows.ts";

interface Stored {
  readonly rows: readonly FoldRow[];
  readonly waiting: ReadonlyMap<string, number>;
}

export async function readStored(): Promise<Stored> {
  const { store } = theApp();
  const [rows, waiting] = await Promise.all([readFolds(store), onlyHerePerLog(store)]);
  return { rows, waiting };
}

/** Show every stored answer at once, as it was last computed. */
export function showStored({ rows, waiting }: Stored): void {
  for (const row of rows) if (row.log_kind !== "piece") showFold(row.log_kind, row.log_id, row.answer as FoldAnswer);
  setBladeRows(
    rows
      .filter((row) => row.log_kind === "piece")
      .map((row): BladeRow => {
        const fold = row.answer as FoldAnswer;
        return { piece_id: row.log_id, tag: fold.tag, fold, only_here: waiting.get(row.log_id) ?? 0 };
      }),
  );
  bladesRead.value = true;
}

/** Then bring up to date what needs it: baths and ovens first, because blades look at them. */
export async function refreshAll(): Promise<void> {
  const { store } = theApp();
  const [keys, rows] = await Promise.all([logKeys(store), readFolds(store)]);
  const held = new Map(rows.map((row) => [row.log_id, row]));
  const order = new Map(blades.peek().map((row, at) => [row.piece_id, at]));
  const turn = ({ log_kind, log_id }: (typeof keys)[number]) => (log_kind === "piece" ? (order.get(log_id) ?? -1) : -2);
  const stale = keys.filter((key) => isStale(held.get(key.log_id), key));
  for (const { log_id } of stale.sort((a, b) => turn(a) - turn(b))) await foldIfStale(log_id);
}

/** How many entries of each blade are only on this phone. */
export async function countPerBlade(): Promise<void> {
  const { store } = theApp();
  const waiting = await onlyHerePerLog(store);
  setBladeRows(blades.peek().map((row) => ({ ...row, only_here: waiting.get(row.piece_id) ?? 0 })));
  const piece_id = openBlade.peek()?.piece_id;
  if (piece_id === undefined) return;
  const only_here = await onlyHere(store, piece_id);
  // Looked at again only now: what a fold has shown meanwhile must stand.
  const open = openBlade.peek();
  if (open?.piece_id === piece_id) openBlade.value = { ...open, only_here };
}

let wanted_id = "";

/** Open one blade: its stored answer at once, then the log into the worker. */
export async function openPiece(piece_id: string): Promise<void> {
  wanted_id = piece_id;
  if (openBlade.peek()?.piece_id === piece_id) return;
  const { store } = theApp();
  const [entries, only_here] = await Promise.all([readLog(store, piece_id), onlyHere(store, piece_id)]);
  if (kindOf(entries) !== "piece" || wanted_id !== piece_id) return;
  const row = blades.peek().find((one) => one.piece_id === piece_id);
  openBlade.value = {
    piece_id,
    tag: row?.tag ?? "",
    fold: row?.fold ?? null,
    entries,
    ...cardsOf(entries),
    only_here,
    folding: true,
  };
  await runFold(() => foldOpenLog(piece_id));
}

/** Instants at which answers change by time alone: fold those again. Called every second. */
export function foldWhatTimeChanged(): void {
  const now_ms = nowMs.peek();
  for (const { piece_id, fold } of blades.peek()) {
    const [first_ms] = fold?.changes_at_ms ?? [];
    if (first_ms === undefined || first_ms > now_ms || pending.has(piece_id)) continue;
    pending.add(piece_id);
    void foldLater(piece_id).finally(() => pending.delete(piece_id));
  }
}

const pending = new Set<string>();
