import type { Entry, LogKind } from "../engine/types.ts";
import type { Store, Transaction } from "./db.ts";
import { putMeta } from "./meta.ts";
import { makingRoom } from "./photos.ts";

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

async function place(tx: Transaction<"readwrite">, fresh: readonly NewEntry[]): Promise<Entry[]> {
  const placed: Entry[] = [];
  for (const entry of fresh) {
    const lamport = 1 + (await highestLamport(tx, entry.log_id));
    const whole: Entry = { ...entry, lamport };
    await tx.objectStore("entries").add(whole);
    await tx
      .objectStore("outbox")
      .add({ id: whole.id, log_id: whole.log_id, state: "waiting", added_ms: whole.written_ms });
    placed.push(whole);
  }
  await putMeta(tx, "newest_ms", Math.max(...fresh.map((entry) => entry.written_ms)));
  return placed;
}

/** Write new entries and their outbox rows: all of them, or none. Text is never refused because of photos. */
export async function writeEntries(store: Store, fresh: readonly NewEntry[]): Promise<Entry[]> {
  return makingRoom(store, () => store.write(["entries", "outbox", "meta"], (tx) => place(tx, fresh)));
}

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
export async function logKey(store: Store, log_id: string): Promise<{ count: number; last_id: string }> {
  return store.read(["entries"], async (tx) => {
    const index = tx.objectStore("entries").index("by_log");
    const [count, last] = await Promise.all([
      index.count(wholeLog(log_id)),
      index.openKeyCursor(wholeLog(log_id), "prev"),
    ]);
    return { count, last_id: last?.primaryKey ?? "" };
  });
}

/** The newest instant that this device claimed live: a wall clock well behind it was set back. */
export async function newestOwnMs(store: Store, device_id: string): Promise<number | null> {
  return store.read(["entries"], async (tx) => {
    // Ids begin with their time of making, so the newest own entry is near the end.
    let cursor = await tx.objectStore("entries").openCursor(null, "prev");
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
