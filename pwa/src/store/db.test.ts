import { openDB } from "idb";
import { afterEach, describe, expect, it, vi } from "vitest";
import { freshStore, newEntry } from "../testing/fresh_store.ts";
import { Store } from "./db.ts";
import { readLog, writeEntries } from "./entries.ts";
import { DATABASE_VERSION } from "./schema.ts";

afterEach(() => vi.restoreAllMocks());

const NAME = () => `versions-${crypto.randomUUID()}`;

describe("the database", () => {
  it("lets go of an old version when a newer one asks, and says so", async () => {
    const name = NAME();
    const replaced = vi.fn();
    const old = new Store({ blocked: () => undefined, replaced }, name);
    await old.open();
    const newer = await openDB(name, DATABASE_VERSION + 1);
    expect(replaced).toHaveBeenCalledOnce();
    await expect(old.read(["meta"], async () => 1)).rejects.toThrow("a newer version");
    newer.close();
  });

  it("says that another tab holds an older version open", async () => {
    const name = NAME();
    const stubborn = await openDB(name, 0 + 1, { upgrade: (db) => void db.createObjectStore("old") });
    const said = new Promise<void>((resolve) => {
      const store = new Store({ blocked: resolve, replaced: () => undefined }, name, DATABASE_VERSION + 1);
      void store.open();
    });
    await said;
    stubborn.close();
  });

  it("says it too when the browser tells a waiting tab nothing at all", async () => {
    vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] });
    vi.spyOn(indexedDB, "open").mockReturnValue(new IDBOpenDBRequest());
    const blocked = vi.fn();
    void new Store({ blocked, replaced: () => undefined }, NAME()).open();
    expect(blocked).not.toHaveBeenCalled();
    vi.advanceTimersByTime(10_000);
    vi.useRealTimers();
    expect(blocked).toHaveBeenCalledOnce();
  });

  it("opens the database once more when the browser has cut the connection", async () => {
    const store = freshStore();
    const db = await store.open();
    db.close();
    await writeEntries(store, [newEntry()]);
    expect(await readLog(store, newEntry().log_id)).toHaveLength(1);
  });

  it("gives up after one more try, and says why", async () => {
    const store = freshStore();
    (await store.open()).close();
    const open = vi.spyOn(indexedDB, "open");
    const cut = () => Promise.reject(new DOMException("Connection to Indexed Database server lost", "UnknownError"));
    await expect(store.read(["meta"], cut)).rejects.toThrow("server lost");
    expect(open).toHaveBeenCalledTimes(1);
  });

  it("asks for a mark to be on the disk before it counts as kept", async () => {
    const store = freshStore();
    await store.open();
    const transaction = vi.spyOn(IDBDatabase.prototype, "transaction");
    await writeEntries(store, [newEntry()]);
    expect(transaction.mock.calls).toEqual([[["entries", "outbox", "meta"], "readwrite", { durability: "strict" }]]);
  });

  it("keeps nothing of a transaction whose work fails", async () => {
    const store = freshStore();
    const failing = store.write(["meta"], async (tx) => {
      await tx.objectStore("meta").put({ name: "half", value: 1 });
      throw new RangeError("the second half");
    });
    await expect(failing).rejects.toThrow("the second half");
    const row = await store.read(["meta"], (tx) => tx.objectStore("meta").get("half"));
    expect(row).toBeUndefined();
  });
});
