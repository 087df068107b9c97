import fc from "fast-check";
import { describe, expect, it, vi } from "vitest";
import { freshStore, LOG_ID, newEntry, placed } from "../testing/fresh_store.ts";
import { byLogOrder, logIds, logKey, logKeys, newestOwnMs, readLog, writeEntries } from "./entries.ts";
import { getMeta } from "./meta.ts";
import { countWaiting, nextToPush, offerAllAgain, onlyHere } from "./outbox.ts";
import { freeUploaded, markUploaded, photosToSend, readPhoto, writePhoto, writeSmall } from "./photos.ts";

const photo = (sha256: string, bytes = 10) => ({
  sha256,
  bytes: new ArrayBuffer(bytes),
  media_type: "image/jpeg",
  added_ms: 1,
});

describe("writing entries", () => {
  it("puts each entry one after the highest of its own log", async () => {
    const store = freshStore();
    const other = "01935a00-0000-7000-8000-000000000002";
    await writeEntries(store, [newEntry(), newEntry({ log_id: other })]);
    await writeEntries(store, [newEntry(), newEntry()]);
    expect((await readLog(store, LOG_ID)).map((entry) => entry.lamport)).toEqual([1, 2, 3]);
    expect((await readLog(store, other)).map((entry) => entry.lamport)).toEqual([1]);
  });

  it("puts several of one log in one act one after the other", async () => {
    const store = freshStore();
    await writeEntries(store, [newEntry()]);
    expect((await writeEntries(store, [newEntry(), newEntry()])).map((entry) => entry.lamport)).toEqual([2, 3]);
  });

  it("goes on after what another device has written", async () => {
    const store = freshStore();
    await store.write(["entries"], (tx) => tx.objectStore("entries").add(placed({ lamport: 41 })));
    const [entry] = await writeEntries(store, [newEntry()]);
    expect(entry?.lamport).toBe(42);
  });

  it("writes the entry and its way to the server together, or neither", async () => {
    const store = freshStore();
    const twice = newEntry();
    await writeEntries(store, [twice]);
    await expect(writeEntries(store, [newEntry(), twice])).rejects.toThrow();
    expect(await readLog(store, LOG_ID)).toHaveLength(1);
    expect(await countWaiting(store)).toEqual({ entries: 1, photos: 0 });
    expect([...(await onlyHere(store, LOG_ID))]).toEqual([twice.id]);
  });

  it("says kept, once, when the connection is lost between the commit and the word of it", async () => {
    const store = freshStore();
    const commit = IDBTransaction.prototype.commit;
    vi.spyOn(IDBTransaction.prototype, "commit").mockImplementationOnce(function (this: IDBTransaction) {
      commit.call(this);
      throw new DOMException("Connection to Indexed Database server lost", "UnknownError");
    });
    const [one, other] = [newEntry(), newEntry()];
    const kept = await writeEntries(store, [one, other]);
    expect(kept.map((entry) => [entry.id, entry.lamport])).toEqual([
      [one.id, 1],
      [other.id, 2],
    ]);
    expect(await readLog(store, LOG_ID)).toEqual(kept);
    expect(await countWaiting(store)).toEqual({ entries: 2, photos: 0 });
  });

  it("keeps text when the phone is full, at the cost of photo copies that the server has", async () => {
    const store = freshStore();
    await writePhoto(store, photo("uploaded"));
    await markUploaded(store, "uploaded", undefined);
    await writePhoto(store, photo("only here"));
    vi.spyOn(IDBObjectStore.prototype, "add").mockImplementationOnce(() => {
      throw new DOMException("full", "QuotaExceededError");
    });
    await writeEntries(store, [newEntry()]);
    expect(await readLog(store, LOG_ID)).toHaveLength(1);
    expect(await readPhoto(store, "uploaded")).toBeUndefined();
    expect(await readPhoto(store, "only here")).toBeDefined();
  });

  it("wants a small copy of each picture that it gave up", async () => {
    const store = freshStore();
    await writePhoto(store, photo("uploaded"));
    await writePhoto(store, photo("seen small"));
    await writeSmall(store, photo("seen small"));
    for (const sha256 of ["uploaded", "seen small"]) await markUploaded(store, sha256, undefined);
    expect(await freeUploaded(store)).toBe(2);
    expect(await getMeta(store, "small_wanted")).toEqual(["uploaded"]);
  });

  it("never gives up a picture that only this phone has", async () => {
    const store = freshStore();
    await writePhoto(store, photo("only here"));
    expect(await freeUploaded(store)).toBe(0);
    expect(await photosToSend(store)).toEqual(["only here"]);
  });
});

describe("reading entries", () => {
  it("lists each log of a kind once", async () => {
    const store = freshStore();
    await writeEntries(store, [newEntry(), newEntry(), newEntry({ log_kind: "bath", log_id: "bath-1" })]);
    expect(await logIds(store, "piece")).toEqual([LOG_ID]);
    expect(await logIds(store, "bath")).toEqual(["bath-1"]);
    expect(await logIds(store, "oven")).toEqual([]);
  });

  it("names count and last entry of a log", async () => {
    const store = freshStore();
    const written = await writeEntries(store, [newEntry(), newEntry()]);
    expect(await logKey(store, LOG_ID)).toEqual({ count: 2, last_id: written[1]?.id });
    expect(await logKey(store, "nothing")).toEqual({ count: 0, last_id: "" });
  });

  it("finds the newest entry of this device among those of others", async () => {
    const store = freshStore();
    const made_ms = Date.now();
    await writeEntries(store, [newEntry({ written_ms: 5_000 })]);
    await writeEntries(store, [newEntry({ written_ms: 9_000, device_id: "device-b" })]);
    expect(await newestOwnMs(store, "device-a", made_ms)).toBe(5_000);
    expect(await newestOwnMs(store, "device-c", made_ms)).toBeNull();
  });

  it("has no newest entry after an instant that is still to come", async () => {
    const store = freshStore();
    await writeEntries(store, [newEntry()]);
    expect(await newestOwnMs(store, "device-a", Date.now() + 60_000)).toBeNull();
  });

  it("names kind, count and last entry of every log in one look", async () => {
    const store = freshStore();
    const [, last] = await writeEntries(store, [newEntry(), newEntry()]);
    const [bath] = await writeEntries(store, [newEntry({ log_kind: "bath", log_id: "bath-1" })]);
    expect(await logKeys(store)).toEqual([
      { log_kind: "bath", log_id: "bath-1", count: 1, last_id: bath?.id },
      { log_kind: "piece", log_id: LOG_ID, count: 2, last_id: last?.id },
    ]);
  });

  it("has one log order, whatever the order of arrival", () => {
    const entry = fc.record({ lamport: fc.integer({ min: 1, max: 4 }), id: fc.uuid() });
    fc.assert(
      fc.property(fc.uniqueArray(entry, { selector: (one) => one.id, maxLength: 8 }), fc.nat(), (drawn, turn) => {
        const entries = drawn.map((one) => placed(one));
        const turned = [...entries.slice(turn % 8), ...entries.slice(0, turn % 8)];
        expect(turned.sort(byLogOrder)).toEqual([...entries].sort(byLogOrder));
      }),
      { numRuns: 60 },
    );
  });
});

describe("what waits for the server", () => {
  it("goes oldest first", async () => {
    const store = freshStore();
    const written = [];
    for (let n = 0; n < 5; n += 1) written.push(...(await writeEntries(store, [newEntry()])));
    expect((await nextToPush(store, 3)).map((entry) => entry.id)).toEqual(written.slice(0, 3).map((entry) => entry.id));
  });

  it("is everything again after the server was restored", async () => {
    const store = freshStore();
    await store.write(["entries"], (tx) => tx.objectStore("entries").add(placed({ seq: 7 })));
    await writePhoto(store, photo("sent"));
    await markUploaded(store, "sent", undefined);
    await offerAllAgain(store, "another epoch", 1);
    expect(await countWaiting(store)).toEqual({ entries: 1, photos: 1 });
  });
});
