import type { Entry } from "../engine/types.ts";
import type { Store, Transaction } from "../store/db.ts";
import { getMeta, putMeta } from "../store/meta.ts";
import { nextToPush, offerAllAgain, type PushResult } from "../store/outbox.ts";
import { makingRoom } from "../store/photos.ts";
import { isErased, merged, type PulledEntry } from "./merge.ts";
import { CallFailed, callSync, type Fetch, type SyncAnswer, type SyncRequest } from "./transport.ts";

const PAGE = 500;
/** Uncompressed bytes of one push, well under what the server takes. */
const PUSH_BYTES = 4_000_000;

export interface PageDone {
  /** Logs that got rows. */
  readonly changed: ReadonlySet<string>;
  readonly server_now_ms: number;
  readonly more_to_push: boolean;
  readonly more_to_pull: boolean;
}

/** As many of the entries as fit into one call; always at least one. */
export function fitting(entries: readonly Entry[], limit_bytes: number): Entry[] {
  const fit: Entry[] = [];
  let bytes = 0;
  for (const entry of entries) {
    bytes += JSON.stringify(entry).length;
    if (fit.length > 0 && bytes > limit_bytes) break;
    fit.push(entry);
  }
  return fit;
}

const bare = ({ seq: _seq, received_ms: _received_ms, ...entry }: Entry): Entry => entry;

/** One call: push what waits, pull what is new, and keep both with the cursor in one transaction. */
export async function syncPage(store: Store, fetching: Fetch, now_ms: number): Promise<PageDone> {
  const [epoch, since, device_id, shop, waiting] = await Promise.all([
    getMeta<string>(store, "epoch"),
    getMeta<number>(store, "since"),
    getMeta<string>(store, "device_id"),
    getMeta<{ shop_id: string }>(store, "shop"),
    nextToPush(store, PAGE),
  ]);
  const sent = fitting(waiting, PUSH_BYTES).map(bare);
  const rest = { epoch: epoch ?? null, shop_id: shop?.shop_id, since: since ?? 0, now_ms };
  const answer = await callHalving(fetching, sent, rest);
  const again = { changed: new Set<string>(), server_now_ms: answer.now_ms, more_to_push: true, more_to_pull: true };
  if (epoch !== undefined && answer.epoch !== epoch) {
    await makingRoom(store, () => offerAllAgain(store, answer.epoch, now_ms));
    return again;
  }
  if (!(await makingRoom(store, () => keepAnswer(store, answer, sent, { epoch, device_id })))) return again;
  return {
    changed: new Set(answer.rows.map((row) => row.log_id)),
    server_now_ms: answer.now_ms,
    more_to_push: waiting.length > answer.results.length || waiting.length === PAGE,
    more_to_pull: answer.more,
  };
}

/** Half as many whenever it is too much at once; one that is too big by itself is set aside, and blocks nothing. */
async function callHalving(
  fetching: Fetch,
  entries: readonly Entry[],
  rest: Omit<SyncRequest, "entries" | "want">,
): Promise<SyncAnswer> {
  try {
    return await callSync(fetching, { ...rest, entries, want: PAGE });
  } catch (error) {
    const [first] = entries;
    if (!(error instanceof CallFailed) || error.kind !== "too_big" || !first) throw error;
    const half = await callHalving(fetching, entries.slice(0, Math.floor(entries.length / 2)), rest);
    if (entries.length > 1) return half;
    return { ...half, results: [{ id: first.id, status: "refused", reason: error.kind }] };
  }
}

/** What the phone was when it asked. */
interface Asker {
  readonly epoch: string | undefined;
  readonly device_id: string | undefined;
}

/**
 * Is the answer still for this store? Another tab may have heard meanwhile that the server was set back, or have gone
 * over to another shop: what an earlier server stored, or another shop holds, counts for nothing then.
 */
async function isStillMeant(tx: Transaction<"readwrite">, asker: Asker): Promise<boolean> {
  const meta = tx.objectStore("meta");
  const [epoch, device_id] = await Promise.all([meta.get("epoch"), meta.get("device_id")]);
  return epoch?.value === asker.epoch && device_id?.value === asker.device_id;
}

/** Rows, outbox, cursor and epoch: together or not at all. False: the answer came too late to count. */
async function keepAnswer(store: Store, answer: SyncAnswer, sent: readonly Entry[], asker: Asker): Promise<boolean> {
  return store.write(["entries", "outbox", "photos", "small", "folds", "meta"], async (tx) => {
    if (!(await isStillMeant(tx, asker))) return false;
    for (const result of answer.results) await keepResult(tx, result, sent);
    await keepRows(tx, answer.rows);
    await putMeta(tx, "since", answer.next_since);
    await putMeta(tx, "epoch", answer.epoch);
    return true;
  });
}

async function keepRows(tx: Transaction<"readwrite">, rows: readonly PulledEntry[]): Promise<void> {
  const wanted = new Set(((await tx.objectStore("meta").get("small_wanted"))?.value as string[] | undefined) ?? []);
  for (const row of rows) {
    const { seen, gone } = await keepRow(tx, row);
    if (seen) wanted.add(seen);
    if (gone) wanted.delete(gone);
  }
  await putMeta(tx, "small_wanted", [...wanted]);
}

/** A row of the outbox closes only when the server names its id; a refused one is set aside. */
async function keepResult(tx: Transaction<"readwrite">, result: PushResult, sent: readonly Entry[]): Promise<void> {
  const outbox = tx.objectStore("outbox");
  const id = result.id ?? sent[result.index ?? -1]?.id;
  const row = id === undefined ? undefined : await outbox.get(id);
  if (!row) return;
  if (result.status === "refused") await outbox.put({ ...row, state: "refused", reason: result.reason ?? "" });
  else if (result.status === "stored" || result.status === "had") await outbox.delete(row.id);
}

interface Pictures {
  /** Hash of a picture that this phone has not met before. */
  readonly seen?: string | null;
  /** Hash of one that has been erased. */
  readonly gone?: string | null;
}

/** Keep one pulled row; tells what it means for pictures. */
async function keepRow(tx: Transaction<"readwrite">, row: PulledEntry): Promise<Pictures> {
  const held = await tx.objectStore("entries").get(row.id);
  await tx.objectStore("entries").put(merged(held, row));
  if (!held) return { seen: pictureOf(row) };
  // The server has it, whatever became of the answer to our own push; what is another under its id still goes there.
  if (isErased(row) || JSON.stringify(held.body) === JSON.stringify(row.body))
    await tx.objectStore("outbox").delete(row.id);
  if (!isErased(row) || isErased(held)) return {};
  await forget(tx, held);
  return { gone: pictureOf(held) };
}

/** What was erased leaves no copy behind on the phone. */
async function forget(tx: Transaction<"readwrite">, held: Entry): Promise<void> {
  await tx.objectStore("folds").delete(held.log_id);
  const picture = pictureOf(held);
  if (!picture) return;
  await tx.objectStore("photos").delete(picture);
  await tx.objectStore("small").delete(picture);
}

function pictureOf(entry: Entry): string | null {
  return entry.kind === "photo" && typeof entry.body.sha256 === "string" ? entry.body.sha256 : null;
}
