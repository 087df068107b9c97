import type { Entry, LogKind } from "../engine/types.ts";
import type { Store, Transaction } from "./db.ts";
import { idsOf } from "./ids.ts";
import { putMeta } from "./meta.ts";
import { makingRoom } from "./photos.ts";
import type { OutboxRow } from "./schema.ts";

/** An entry before it has its place in its log. */
export type NewEntry = Omit<Entry, "lamport" | "seq" | "received_ms">;

/** Log order: the order of writing down, the same on every device. */
export function byLogOrder(a: Entry, b: Entry): number {
  return a.lamport - b.lamport || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0);
}

const wholeLog = (log_id: string): IDBKeyRange => IDBKeyRange.bound([log_id], [log_id, []]);

async function highestLamport(tx: Transaction<"readwrite">, log_id: string): Promise<number> {
  const cursor = await tx.objectStore("entries").index("by_log").openKeyCursor(wholeLog(log_id), "prev");
  return cursor ? cursor.key[1] : 0;
}

/** Each entry one after the highest of its log. */
async function placed(tx: Transaction<"readwrite">, fresh: readonly NewEntry[]): Promise<Entry[]> {
  const log_ids = [...new Set(fresh.map((entry) => entry.log_id))];
  const found = await Promise.all(log_ids.map((log_id) => highestLamport(tx, log_id)));
  const highest = new Map(log_ids.map((log_id, at) => [log_id, found[at] ?? 0]));
  return fresh.map((entry) => {
    const lamport = 1 + (highest.get(entry.log_id) ?? 0);
    highest.set(entry.log_id, lamport);
    return { ...entry, lamport };
  });
}

/** A person waits for this: one look, then everything at once and the wish to have it on disk, with no answer awaited between. */
async function place(tx: Transaction<"readwrite">, fresh: readonly NewEntry[]): Promise<Entry[]> {
  const entries = await placed(tx, fresh);
  const writing = entries.flatMap((entry): Promise<unknown>[] => {
    const { id, log_id, written_ms } = entry;
    const row: OutboxRow = { id, log_id, state: "waiting", added_ms: written_ms };
    return [tx.objectStore("entries").add(entry), tx.objectStore("outbox").add(row)];
  });
  writing.push(tx.objectStore("meta").delete("exported")); // no file holds these
  tx.commit();
  await Promise.all(writing);
  return entries;
}

/** Write new entries and their outbox rows: all of them, or none. Text is never refused because of photos. */
export async function writeEntries(store: Store, fresh: readonly NewEntry[]): Promise<Entry[]> {
  try {
    return await makingRoom(store, () => store.write(["entries", "outbox", "meta"], (tx) => place(tx, fresh)));
  } catch (error) {
    // A connection lost just after the commit: the second try finds the very entries of the first.
    const held = await heldOf(store, fresh).catch(() => []);
    if (held.length === fresh.length) return held;
    throw error;
  }
}

/** Put an entry in the place of one that no server took, which may hold another under the old id: it comes now. */
export async function replaceEntry(store: Store, old_id: string, fresh: NewEntry): Promise<void> {
  await makingRoom(store, () =>
    store.write(["entries", "outbox", "meta"], async (tx) => {
      await tx.objectStore("entries").delete(old_id);
      await tx.objectStore("outbox").delete(old_id);
      await putMeta(tx, "since", 0);
      await place(tx, [fresh]);
    }),
  );
}

async function heldOf(store: Store, fresh: readonly NewEntry[]): Promise<Entry[]> {
  const found = await store.read(["entries"], (tx) =>
    Promise.all(fresh.map(({ id }) => tx.objectStore("entries").get(id))),
  );
  return found.filter((entry) => entry !== undefined);
}

/** What a log is the log of. A blade is never hidden by a stranger that stands first under its id. */
export const kindOf = (entries: readonly Entry[]): LogKind | undefined =>
  (entries.find((entry) => entry.log_kind === "piece") ?? entries[0])?.log_kind;

/** One log, in log order. */
export async function readLog(store: Store, log_id: string): Promise<Entry[]> {
  return store.read(["entries"], (tx) => tx.objectStore("entries").index("by_log").getAll(wholeLog(log_id)));
}

/** Ids of all logs of one kind. */
export async function logIds(store: Store, log_kind: LogKind): Promise<string[]> {
  return store.read(["entries"], async (tx) => {
    const range = IDBKeyRange.bound([log_kind], [log_kind, []]);
    const ids: string[] = [];
    let cursor = await tx.objectStore("entries").index("by_kind").openKeyCursor(range, "nextunique");
    for (; cursor; cursor = await cursor.continue()) ids.push(cursor.key[1]);
    return ids;
  });
}

/** How many entries a log has and which is its last: the key of its stored fold. */
export interface LogKey {
  readonly count: number;
  readonly last_id: string;
}

async function keyOf(tx: Transaction<"readonly">, log_id: string): Promise<LogKey> {
  const index = tx.objectStore("entries").index("by_log");
  const [count, last] = await Promise.all([
    index.count(wholeLog(log_id)),
    index.openKeyCursor(wholeLog(log_id), "prev"),
  ]);
  return { count, last_id: last?.primaryKey ?? "" };
}

export async function logKey(store: Store, log_id: string): Promise<LogKey> {
  return store.read(["entries"], (tx) => keyOf(tx, log_id));
}

/** The same of every log there is, in one look. */
export async function logKeys(store: Store): Promise<(LogKey & { log_kind: LogKind; log_id: string })[]> {
  return store.read(["entries"], async (tx) => {
    const names: [LogKind, string][] = [];
    let cursor = await tx.objectStore("entries").index("by_kind").openKeyCursor(null, "nextunique");
    for (; cursor; cursor = await cursor.continue()) names.push(cursor.key as [LogKind, string]);
    return Promise.all(names.map(async ([log_kind, log_id]) => ({ log_kind, log_id, ...(await keyOf(tx, log_id)) })));
  });
}

/**
 * The newest instant that this device claimed live, if that was after `from_ms`: a wall clock well behind it was set
 * back. Ids begin with their time of making, so only those made since are looked at, and there are none as a rule.
 */
export async function newestOwnMs(store: Store, device_id: string, from_ms: number): Promise<number | null> {
  return store.read(["entries"], async (tx) => {
    let cursor = await tx.objectStore("entries").openCursor(IDBKeyRange.lowerBound(idsOf(from_ms)), "prev");
    for (; cursor; cursor = await cursor.continue()) {
      if (cursor.value.device_id === device_id) return cursor.value.written_ms;
    }
    return null;
  });
}

/** Every entry held, for an export or to offer everything again. */
export async function allEntries(store: Store): Promise<Entry[]> {
  return (await store.read(["entries"], (tx) => tx.objectStore("entries").getAll())).sort(byLogOrder);
}
