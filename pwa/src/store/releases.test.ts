import { type IDBPDatabase, openDB } from "idb";
import { describe, expect, it } from "vitest";
import { FakeServer } from "../testing/fake_server.ts";
import { clientOf } from "../testing/fake_world.ts";
import { LOG_ID, newEntry, placed } from "../testing/fresh_store.ts";
import { Store } from "./db.ts";
import { readLog, writeEntries } from "./entries.ts";
import { getMeta } from "./meta.ts";
import { countWaiting, refusedRows } from "./outbox.ts";
import { readPhoto, readSmall } from "./photos.ts";

/** How the first release laid out what must never change, as it lies on phones. Written down here, not taken from the code. */
const FIRST_RELEASE = {
  entries: { keyPath: "id", indexes: { by_kind: ["log_kind", "log_id"], by_log: ["log_id", "lamport", "id"] } },
  outbox: { keyPath: "id", indexes: { by_state: "state" } },
  photos: { keyPath: "sha256", indexes: { by_uploaded: "uploaded" } },
} as const;
/** Its other stores: these may change. */
const BESIDE = { small: "sha256", folds: "log_id", meta: "name", drafts: "key" } as const;

function layOut(db: IDBPDatabase): void {
  for (const [name, { keyPath, indexes }] of Object.entries(FIRST_RELEASE)) {
    const store = db.createObjectStore(name, { keyPath });
    for (const [index, path] of Object.entries(indexes)) store.createIndex(index, path as string | string[]);
  }
  for (const [name, keyPath] of Object.entries(BESIDE)) db.createObjectStore(name, { keyPath });
}

const picture = (sha256: string, uploaded: 0 | 1) => ({
  ...{ sha256, bytes: new Uint8Array([1, 2, 3]).buffer, media_type: "image/jpeg" },
  ...{ uploaded, added_ms: 1 },
});

const KNOWN = placed({ lamport: 1, seq: 1, received_ms: 5 });
const WAITS = placed({ lamport: 2 });
const REFUSED = placed({ lamport: 3 });

/** A phone of the first release that has been offline: something sent, something waiting, something refused. */
async function phoneOfTheFirstRelease(name: string): Promise<void> {
  const db = await openDB(name, 1, { upgrade: layOut });
  for (const entry of [KNOWN, WAITS, REFUSED]) await db.put("entries", entry);
  await db.put("outbox", { id: WAITS.id, log_id: LOG_ID, state: "waiting", added_ms: 1 });
  await db.put("outbox", { id: REFUSED.id, log_id: LOG_ID, state: "refused", reason: "other_body", added_ms: 1 });
  await db.put("photos", picture("only-here", 0));
  await db.put("photos", picture("sent", 1));
  await db.put("small", { sha256: "far", bytes: new Uint8Array([9]).buffer, media_type: "image/jpeg" });
  await db.put("meta", { name: "epoch", value: "epoch-1" });
  await db.put("meta", { name: "since", value: 1 });
  db.close();
}

describe("a phone that comes from the first release", () => {
  it("finds everything in its place, writes on, and sends what waited", async () => {
    const name = `release-${crypto.randomUUID()}`;
    await phoneOfTheFirstRelease(name);
    const store = new Store(undefined, name);
    expect((await readLog(store, LOG_ID)).map(({ id }) => id)).toEqual([KNOWN.id, WAITS.id, REFUSED.id]);
    expect(await countWaiting(store)).toEqual({ entries: 2, photos: 1 });
    expect((await refusedRows(store)).map(({ reason }) => reason)).toEqual(["other_body"]);
    expect((await readPhoto(store, "sent"))?.bytes.byteLength).toBe(3);
    expect((await readSmall(store, "far"))?.bytes.byteLength).toBe(1);
    expect(await getMeta(store, "since")).toBe(1);
    const [fresh] = await writeEntries(store, [newEntry()]);
    expect(fresh?.lamport).toBe(4);

    const server = new FakeServer();
    server.rows = [{ ...KNOWN, seq: 1, received_ms: 5 }];
    await clientOf(store, server).client.kick();
    expect(server.rows.map(({ id }) => id)).toEqual([KNOWN.id, WAITS.id, fresh?.id]);
    expect([...server.photos.keys()]).toEqual(["only-here"]);
    expect(await countWaiting(store)).toEqual({ entries: 1, photos: 0 });
  });
});

describe("the stores that hold what is nowhere else", () => {
  it("have the shape that they had in the first release", async () => {
    const db = await new Store(undefined, `shape-${crypto.randomUUID()}`).open();
    const names = ["entries", "outbox", "photos"] as const;
    const tx = db.transaction(names);
    const shape = names.map((name) => {
      const store = tx.objectStore(name);
      const indexes = [...store.indexNames].map((index) => [index, store.index(index).keyPath]);
      return [name, { keyPath: store.keyPath, indexes: Object.fromEntries(indexes) }];
    });
    expect(Object.fromEntries(shape)).toEqual(FIRST_RELEASE);
  });
});
