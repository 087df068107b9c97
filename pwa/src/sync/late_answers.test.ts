import { describe, expect, it, vi } from "vitest";
import type { Store } from "../store/db.ts";
import { readLog, writeEntries } from "../store/entries.ts";
import { newId } from "../store/ids.ts";
import { getMeta, setMeta } from "../store/meta.ts";
import { countWaiting, offerAllAgain, refusedRows } from "../store/outbox.ts";
import { readPhoto, writePhoto } from "../store/photos.ts";
import { wipe } from "../store/wipe.ts";
import { FakeServer } from "../testing/fake_server.ts";
import { clientOf } from "../testing/fake_world.ts";
import { freshStore, LOG_ID, newEntry, placed } from "../testing/fresh_store.ts";
import type { Fetch } from "./transport.ts";

const picture = (sha256: string, bytes = 10) => ({
  sha256,
  bytes: new Uint8Array(bytes).buffer,
  media_type: "image/jpeg",
  added_ms: 1,
});

/** A server whose next answer to `path` is on its way while something else happens here. */
function meanwhile(server: FakeServer, path: string, happens: () => Promise<void>): { fetching: Fetch } {
  let due = true;
  return {
    fetching: async (asked, init) => {
      const reply = await server.fetching(asked, init);
      if (!due || !asked.startsWith(path)) return reply;
      due = false;
      await happens();
      return reply;
    },
  };
}

async function joined(entries = 1): Promise<{ store: Store; server: FakeServer }> {
  const [store, server] = [freshStore(), new FakeServer()];
  await setMeta(store, "device_id", newId());
  await setMeta(store, "epoch", server.epoch);
  for (let n = 0; n < entries; n += 1) await writeEntries(store, [newEntry()]);
  return { store, server };
}

describe("an answer that comes late", () => {
  it("of a server that was set back meanwhile closes nothing: the entry is offered to the server as it is now", async () => {
    const { store, server } = await joined();
    const world = meanwhile(server, "/api/sync", async () => {
      server.epoch = "epoch-2";
      server.rows = [];
      await offerAllAgain(store, "epoch-2", 1); // the other tab hears of it first
    });
    await clientOf(store, server, world).client.kick();
    expect(server.rows).toHaveLength(1);
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
    expect(await getMeta(store, "epoch")).toBe("epoch-2");
  });

  it("brings nothing of one shop into another that this phone has gone over to", async () => {
    const { store, server } = await joined(0);
    server.rows = [{ ...placed(), seq: 1, received_ms: 1 }];
    const world = meanwhile(server, "/api/sync", async () => {
      await wipe(store, newId());
      server.rows = [];
    });
    await clientOf(store, server, world).client.kick();
    expect(await readLog(store, LOG_ID)).toEqual([]);
    expect(await getMeta(store, "since")).toBe(0);
  });

  it("does not count a picture as sent to a server that has lost it since", async () => {
    const { store, server } = await joined(0);
    await writePhoto(store, picture("late"));
    const world = meanwhile(server, "/api/photos/late", async () => {
      await offerAllAgain(store, "epoch-2", 1);
    });
    server.photos.set("late", { bytes: new Uint8Array(10), length: 10 });
    await clientOf(store, server, world).client.kick();
    expect((await readPhoto(store, "late"))?.uploaded).toBe(0);
  });

  it("keeps a picture wanted that another tab has added to the list meanwhile", async () => {
    const { store, server } = await joined(0);
    await setMeta(store, "small_wanted", ["first"]);
    server.photos.set("first", { bytes: new Uint8Array(3), length: 3 });
    const world = meanwhile(server, "/api/photos/first", () => setMeta(store, "small_wanted", ["first", "second"]));
    await clientOf(store, server, world).client.kick();
    expect(await getMeta(store, "small_wanted")).toEqual(["second"]);
  });
});

describe("a picture", () => {
  it.each([400, 409, 415])("is not given up for a %i, which says nothing about the picture", async (status) => {
    const { store, server } = await joined(0);
    await writePhoto(store, picture("cut"));
    let answers = 0;
    const fetching: Fetch = (path, init) => {
      if (init?.method !== "PUT" || ++answers > 1) return server.fetching(path, init);
      return Promise.resolve(server.reply(status, { message: "cut" }, { "Upload-Offset": "0" }));
    };
    const { client } = clientOf(store, server, { fetching });
    await client.kick();
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 1 });
    await client.kick();
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });

  it("that was erased before its small copy came is wanted no more", async () => {
    const { store, server } = await joined(0);
    const named = placed({ kind: "photo", body: { sha256: "gone" } });
    server.rows = [{ ...named, seq: 1, received_ms: 1 }];
    const { client } = clientOf(store, server);
    await client.kick();
    expect(await getMeta(store, "small_wanted")).toEqual(["gone"]);
    server.rows = [{ ...named, body: { erased: true }, seq: 2, received_ms: 1 }];
    await client.kick();
    expect(await getMeta(store, "small_wanted")).toEqual([]);
  });
});

describe("an answer", () => {
  it("sets aside an entry whose id the server could not read", async () => {
    const { store, server } = await joined(0);
    await writeEntries(store, [newEntry({ id: "no id at all" })]);
    await writeEntries(store, [newEntry()]);
    const fetching: Fetch = async (path, init) => {
      const reply = await server.fetching(path, init);
      if (path !== "/api/sync") return reply;
      const answer = (await reply.json()) as { results: { id: string | null; status: string; index: number }[] };
      answer.results = answer.results.map((result, index) =>
        result.id === "no id at all" ? { index, id: null, status: "refused" } : { ...result, index },
      );
      return server.reply(200, answer);
    };
    const { client, seen } = clientOf(store, server, { fetching });
    await client.kick();
    expect(seen.trouble).toEqual([]);
    expect((await refusedRows(store)).map(({ entry }) => entry.id)).toEqual(["no id at all"]);
    expect(await countWaiting(store)).toEqual({ entries: 1, photos: 0 });
  });

  it("is kept on a full phone too: copies that the server has make room", async () => {
    const { store, server } = await joined(1);
    await writePhoto(store, picture("sent", 1_000));
    await clientOf(store, server).client.kick();
    expect((await readPhoto(store, "sent"))?.uploaded).toBe(1);
    server.rows.push({ ...placed(), seq: 90, received_ms: 1 });
    const put = IDBObjectStore.prototype.put;
    const full = vi.spyOn(IDBObjectStore.prototype, "put").mockImplementation(function (
      this: IDBObjectStore,
      value,
      key,
    ) {
      if (this.name === "entries" && full.mock.calls.length < 3) throw new DOMException("full", "QuotaExceededError");
      return key === undefined ? put.call(this, value) : put.call(this, value, key);
    });
    await clientOf(store, server).client.kick();
    full.mockRestore();
    expect(await readLog(store, LOG_ID)).toHaveLength(2);
    expect(await readPhoto(store, "sent")).toBeUndefined();
  });
});
