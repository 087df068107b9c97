import { fold, foldAgain, foldAppend, foldOpen } from "../engine/client.ts";
import type { Entry, FoldAnswer, LogKind, ThingFold } from "../engine/types.ts";
import { openBlade } from "../state/blades.ts";
import { tell } from "../state/moment.ts";
import { isQuota } from "../store/db.ts";
import { byLogOrder, kindOf, type LogKey, logKey, readLog } from "../store/entries.ts";
import { isFresh, readFold, writeFold } from "../store/folds.ts";
import { onlyHere } from "../store/outbox.ts";
import type { FoldRow } from "../store/schema.ts";
import { cardsOf } from "./cards.ts";
import { theApp } from "./context.ts";
import { relatedThings } from "./related.ts";
import { showFold } from "./rows.ts";

let queue: Promise<void> = Promise.resolve();
/** Ids of the entries that the fold worker holds of the open blade, and the last of them. */
let given: ReadonlySet<string> = new Set();
let last_given = "";

/** The key under which the open blade's answer is kept: of what the worker was given, not of what has come since. */
const givenKey = (): LogKey => ({ count: given.size, last_id: last_given });
const keyOf = (entries: readonly Entry[]): LogKey => ({ count: entries.length, last_id: entries.at(-1)?.id ?? "" });

/** Something beside the log (an answer, a setting, a draft) found no room: said, for it may not last. */
export function tellNoRoom(error: unknown): boolean {
  if (isQuota(error)) tell({ id: "no_room", kind: "warning", note: { key: "phone.no_room" } });
  return isQuota(error);
}

/** One fold after the other: an older answer never replaces a newer one. */
function inTurn(work: () => Promise<void>): Promise<void> {
  queue = queue.then(work).catch((error: unknown) => {
    if (tellNoRoom(error)) return;
    tell({ id: "fold", kind: "warning", note: { key: "phone.fold_failed", facts: { reason: String(error) } } });
  });
  return queue;
}

/** Run one fold after those already asked for; resolves when it is there. */
export const runFold = inTurn;

/** Resolves when every fold asked for so far is there. */
export const folded = (): Promise<void> => inTurn(async () => undefined);

/** Entries were kept: show them at once, then ask the engine what they make of the blade. */
export function foldAfter(written: readonly Entry[]): void {
  showWritten(written);
  for (const log_id of new Set(written.map((entry) => entry.log_id))) {
    const fresh = written.filter((entry) => entry.log_id === log_id);
    const anew = fresh.some(({ kind }) => kind === "same_as" || kind === "withdraw");
    void inTurn(() => (openBlade.peek()?.piece_id === log_id && !anew ? appendToOpen(fresh) : foldWhole(log_id)));
  }
}

function showWritten(written: readonly Entry[]): void {
  const open = openBlade.peek();
  const mine = written.filter((entry) => entry.log_id === open?.piece_id);
  if (!open || mine.length === 0) return;
  const entries = [...open.entries, ...mine];
  const only_here = new Set([...open.only_here, ...mine.map((entry) => entry.id)]);
  openBlade.value = { ...open, ...cardsOf(entries), entries, only_here, folding: true };
}

async function appendToOpen(fresh: readonly Entry[]): Promise<void> {
  const { now_ms } = theApp();
  let answer: FoldAnswer | null = null;
  try {
    for (const entry of fresh.filter((one) => !given.has(one.id))) {
      answer = await foldAppend({ log_id: entry.log_id, entry, ...relatedThings(), now_ms: now_ms() });
      given = new Set([...given, entry.id]);
      last_given = entry.id;
    }
  } catch {
    // The worker holds another log, or was started anew: give it the whole log.
    const first = fresh[0];
    if (first) return foldOpenLog(first.log_id);
  }
  if (answer) await keepFold("piece", answer.log_id, answer, givenKey());
}

/** Give the worker the whole log of the open blade, and keep what it says. */
export async function foldOpenLog(log_id: string): Promise<void> {
  const { store, now_ms } = theApp();
  const entries = await readLog(store, log_id);
  given = new Set();
  const answer = await foldOpen({
    log_kind: "piece",
    log_id,
    entries,
    ...relatedThings(),
    now_ms: now_ms(),
  });
  given = new Set(entries.map((entry) => entry.id));
  last_given = keyOf(entries).last_id;
  const beside = await Promise.all((answer.same_as ?? []).map((twin) => readLog(store, twin)));
  await showOpen(log_id, [...entries, ...beside.flat()]);
  await keepFold("piece", log_id, answer, givenKey());
}

async function showOpen(log_id: string, entries: readonly Entry[]): Promise<void> {
  const only_here = await onlyHere(theApp().store, log_id);
  const open = openBlade.peek();
  if (open?.piece_id !== log_id) return;
  openBlade.value = { ...open, ...cardsOf(entries), entries: [...entries].sort(byLogOrder), only_here };
}

const foldWhole = (log_id: string): Promise<void> =>
  log_id === openBlade.peek()?.piece_id ? foldOpenLog(log_id) : foldLog(log_id);

/** Fold one log that is not open. */
async function foldLog(log_id: string): Promise<void> {
  const { store, now_ms } = theApp();
  const entries = await readLog(store, log_id);
  const log_kind = kindOf(entries);
  if (!log_kind) return;
  const answer = await fold<FoldAnswer | ThingFold>({
    log_kind,
    log_id,
    entries,
    ...(log_kind === "piece" ? relatedThings() : {}),
    now_ms: now_ms(),
  });
  await keepFold(log_kind, log_id, answer, keyOf(entries));
}

async function keepFold(
  log_kind: LogKind,
  log_id: string,
  answer: FoldAnswer | ThingFold,
  { count, last_id }: LogKey,
): Promise<void> {
  const { store, engine_version } = theApp();
  showFold(log_kind, log_id, answer);
  const changes_at_ms = "changes_at_ms" in answer ? answer.changes_at_ms : [];
  await writeFold(store, { log_id, log_kind, engine_version, count, last_id, answer, changes_at_ms });
}

/** Rows came from the server or another tab: fold what they touch, the open blade first. */
export function foldChanged(log_ids: Iterable<string>): void {
  const open_id = openBlade.peek()?.piece_id;
  const ids = [...log_ids].sort((a, b) => Number(b === open_id) - Number(a === open_id));
  for (const log_id of ids) void inTurn(() => foldWhole(log_id));
}

/** Time alone has changed an answer: the same entries, later. */
export function foldLater(log_id: string): Promise<void> {
  return inTurn(async () => {
    const open = openBlade.peek();
    if (open?.piece_id !== log_id) return foldLog(log_id);
    try {
      const answer = await foldAgain({ log_id, ...relatedThings(), now_ms: theApp().now_ms() });
      await keepFold("piece", log_id, answer, givenKey());
    } catch {
      await foldOpenLog(log_id);
    }
  });
}

/** Is a stored answer no longer right? That of a blade on which nothing runs waits until it is opened. */
export function isStale(row: FoldRow | undefined, key: LogKey): boolean {
  const { engine_version, now_ms } = theApp();
  if (isFresh(row, { engine_version, ...key, now_ms: now_ms() })) return false;
  return row?.count !== key.count || row.last_id !== key.last_id || !restsIn(row.log_kind, row.answer);
}

/** Fold a log, unless that was done meanwhile. */
export function foldIfStale(log_id: string): Promise<void> {
  return inTurn(async () => {
    const { store } = theApp();
    const [row, key] = await Promise.all([readFold(store, log_id), logKey(store, log_id)]);
    if (isStale(row, key)) await foldLog(log_id);
  });
}

/** Released, scrapped: no clock runs and nothing comes next. */
function restsIn(log_kind: LogKind, answer: unknown): boolean {
  if (log_kind !== "piece") return false;
  const { clocks, next } = answer as FoldAnswer;
  return clocks.length === 0 && next === null;
}
