import type { Entry } from "../engine/types.ts";
import type { Store, Transaction } from "./db.ts";
import { putMeta } from "./meta.ts";
import { putRefusedPhoto } from "./photos.ts";
import type { OutboxRow } from "./schema.ts";

export interface Waiting {
  readonly entries: number;
  readonly photos: number;
}

/** What is only on this phone, counted from the store itself, refused entries included. */
export async function countWaiting(store: Store): Promise<Waiting> {
  return store.read(["outbox", "photos"], waitingIn);
}

/** The same inside a transaction that holds `outbox` and `photos`. */
export async function waitingIn(tx: Transaction<"readonly" | "readwrite">): Promise<Waiting> {
  const [entries, photos] = await Promise.all([
    tx.objectStore("outbox").count(),
    tx.objectStore("photos").index("by_uploaded").count(0),
  ]);
  return { entries, photos };
}

/** The next entries to push, oldest first: a later one may mention what an earlier one made. */
export async function nextToPush(store: Store, limit: number): Promise<Entry[]> {
  return store.read(["outbox", "entries"], async (tx) => {
    const ids = await tx.objectStore("outbox").index("by_state").getAllKeys("waiting", limit);
    const found = await Promise.all(ids.map((id) => tx.objectStore("entries").get(id)));
    return found.filter((entry) => entry !== undefined);
  });
}

export async function refusedRows(store: Store): Promise<{ entry: Entry; reason: string }[]> {
  return store.read(["outbox", "entries"], async (tx) => {
    const rows = await tx.objectStore("outbox").index("by_state").getAll("refused");
    const found = await Promise.all(
      rows.map(async (row) => ({ row, entry: await tx.objectStore("entries").get(row.id) })),
    );
    return found.flatMap(({ row, entry }) => (entry ? [{ entry, reason: row.reason ?? "" }] : []));
  });
}

/** Has the server set aside an entry or a picture? */
export async function someRefused(store: Store): Promise<boolean> {
  return store.read(["outbox", "meta"], async (tx) => {
    const [rows, photos] = await Promise.all([
      tx.objectStore("outbox").index("by_state").count("refused"),
      tx.objectStore("meta").get("photos_refused"),
    ]);
    return rows > 0 || Object.keys(photos?.value ?? {}).length > 0;
  });
}

/** Ids of entries of one log that only this phone has. */
export async function onlyHere(store: Store, log_id: string): Promise<Set<string>> {
  const rows = await store.read(["outbox"], (tx) => tx.objectStore("outbox").getAll());
  return new Set(rows.filter((row) => row.log_id === log_id).map((row) => row.id));
}

export async function onlyHerePerLog(store: Store): Promise<Map<string, number>> {
  const rows = await store.read(["outbox"], (tx) => tx.objectStore("outbox").getAll());
  const counts = new Map<string, number>();
  for (const row of rows) counts.set(row.log_id, (counts.get(row.log_id) ?? 0) + 1);
  return counts;
}

export interface PushResult {
  /** Null when the server could not read the id; then `index` tells which of the offered it was. */
  readonly id: string | null;
  readonly index?: number;
  readonly status: "stored" | "had" | "refused";
  readonly reason?: string | null;
}

/** What the server refused, an entry or a picture, waits again: the server may know better now. */
export async function offerAgain(store: Store, id: string): Promise<void> {
  await store.write(["outbox", "meta"], async (tx) => {
    const row = await tx.objectStore("outbox").get(id);
    if (row) await tx.objectStore("outbox").put({ ...row, state: "waiting" });
    await putRefusedPhoto(tx, id, null);
  });
}

/** Another server, or one restored from a backup: offer every entry and photo again, and pull from the beginning. */
export async function offerAllAgain(store: Store, epoch: string, now_ms: number): Promise<void> {
  await store.write(["entries", "outbox", "photos", "meta"], async (tx) => {
    const outbox = tx.objectStore("outbox");
    for (const entry of await tx.objectStore("entries").getAll()) {
      const row: OutboxRow = { id: entry.id, log_id: entry.log_id, state: "waiting", added_ms: now_ms };
      await outbox.put(row);
    }
    let cursor = await tx.objectStore("photos").index("by_uploaded").openCursor(1);
    for (; cursor; cursor = await cursor.continue()) await cursor.update({ ...cursor.value, uploaded: 0 });
    await putMeta(tx, "epoch", epoch);
    await putMeta(tx, "since", 0);
    await putMeta(tx, "photos_refused", {}); // the other server's word
    await tx.objectStore("meta").delete("exported"); // rows came since that no file holds
  });
}
