import { describe, expect, it, vi } from "vitest";
import { readLog, writeEntries } from "../store/entries.ts";
import { getMeta, setMeta } from "../store/meta.ts";
import { countWaiting, refusedRows } from "../store/outbox.ts";
import { readPhoto, readSmall, writePhoto } from "../store/photos.ts";
import { FakeServer, type Fault } from "../testing/fake_server.ts";
import { clientOf } from "../testing/fake_world.ts";
import { freshStore, LOG_ID, newEntry, placed } from "../testing/fresh_store.ts";
import { sha256Of } from "./digest.ts";
import type { Fetch } from "./transport.ts";

async function shopWith(count: number) {
  const [store, server] = [freshStore(), new FakeServer()];
  for (let n = 0; n < count; n += 1) await writeEntries(store, [newEntry()]);
  return { store, server, ...clientOf(store, server) };
}

const ids = (entries: readonly { id: string }[]) => entries.map((entry) => entry.id).sort();

describe("pushing", () => {
  it("empties the queue and leaves each entry once on the server", async () => {
    const { store, server, client } = await shopWith(3);
    await client.kick();
    expect(server.rows).toHaveLength(3);
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
    expect(client.state).toBe("waiting");
  });

  it("leaves one row per entry however often the answer is lost", async () => {
    const { store, server, client } = await shopWith(4);
    server.faults = ["lost_answer", "lost_answer", "lost_answer", "lost_answer", "lost_answer"];
    for (let n = 0; n < 6; n += 1) await client.kick();
    expect(ids(server.rows)).toEqual(ids(await readLog(store, LOG_ID)));
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });

  it.each<[Fault, string]>([
    ["no_link", "offline"],
    ["portal", "offline"],
    ["trouble", "offline"],
    ["lost_answer", "offline"],
    ["signed_out", "signed_out"],
    ["too_old", "upgrade_needed"],
  ])("after %s is %s, with nothing gone", async (fault, state) => {
    const { store, server, client } = await shopWith(2);
    server.faults = [fault];
    await client.kick();
    expect(client.state).toBe(state);
    expect(await countWaiting(store)).toEqual({ entries: 2, photos: 0 });
  });

  it("loses nothing in ten failures in a row, and waits longer each time", async () => {
    const { store, server, client, seen } = await shopWith(1);
    server.faults = Array.from({ length: 10 }, () => "trouble" as const);
    for (let n = 0; n < 10; n += 1) await client.kick();
    expect(await countWaiting(store)).toEqual({ entries: 1, photos: 0 });
    const waits = seen.timers.map((timer) => timer.delay_ms);
    expect(waits).toEqual([...waits].sort((a, b) => a - b));
    await client.kick();
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });

  it("tries again by itself when its wait is over", async () => {
    const { server, client, seen } = await shopWith(1);
    server.faults = ["no_link"];
    await client.kick();
    seen.timers.at(-1)?.run();
    await vi.waitFor(() => expect(server.rows).toHaveLength(1));
  });

  it("tries again even when its wait is over before a slow phone has put the last try away", async () => {
    const [store, server] = [freshStore(), new FakeServer()];
    await writeEntries(store, [newEntry()]);
    const write = store.write.bind(store);
    vi.spyOn(store, "write").mockImplementation(async (...given) => {
      await new Promise((done) => setTimeout(done, 20));
      return write(...given);
    });
    // Until the entry has arrived only: a client that tries again every millisecond would keep this process alive.
    const later = (_delay_ms: number, run: () => void) => {
      const timer = server.rows.length === 0 ? setTimeout(run, 1) : undefined;
      return () => clearTimeout(timer);
    };
    const { client } = clientOf(store, server, { later });
    server.faults = ["no_link"];
    await client.kick();
    await vi.waitFor(() => expect(server.rows).toHaveLength(1));
  });

  it("sets a refused entry aside and sends what stands behind it", async () => {
    const { store, server, client } = await shopWith(10);
    const third = (await readLog(store, LOG_ID))[2];
    server.refuse.set(third?.id ?? "", "other_body");
    await client.kick();
    expect(server.rows).toHaveLength(9);
    expect(client.state).toBe("refused");
    expect((await refusedRows(store)).map(({ entry, reason }) => [entry.id, reason])).toEqual([
      [third?.id, "other_body"],
    ]);
    await client.kick();
    expect(server.calls.filter((call) => call === "POST /api/sync")).toHaveLength(2);
    expect(await readLog(store, LOG_ID)).toHaveLength(10);
  });

  it("pauses at an expired sign-in and drains after the person asks again", async () => {
    const { store, server, client } = await shopWith(5);
    server.faults = ["signed_out"];
    await client.kick();
    await client.kick();
    expect(server.calls).toHaveLength(1);
    await client.syncNow();
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });

  it("begins anew after joining, though a round of before the sign-in is still on its way", async () => {
    const { store, server, client } = await shopWith(2);
    server.faults = ["signed_out"];
    const before = client.syncNow();
    await Promise.all([before, client.syncNow()]);
    expect(client.state).toBe("waiting");
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });

  it("sends smaller calls when the server finds one too big", async () => {
    const { store, server, client } = await shopWith(9);
    server.largest_call_bytes = 2_000;
    await client.kick();
    expect(server.rows).toHaveLength(9);
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });

  it("sets aside an entry that is too big for any call, and sends what stands behind it", async () => {
    const { store, server, client } = await shopWith(1);
    const [huge] = await writeEntries(store, [newEntry({ body: { text: "x".repeat(3_000) } })]);
    await writeEntries(store, [newEntry()]);
    server.largest_call_bytes = 2_000;
    await client.kick();
    expect(server.rows).toHaveLength(2);
    expect((await refusedRows(store)).map(({ entry, reason }) => [entry.id, reason])).toEqual([[huge?.id, "too_big"]]);
    expect(client.state).toBe("refused");
  });

  it("gives up on a server that takes the call and never answers, within a minute", async () => {
    const { store, server, client } = await shopWith(1);
    vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] });
    vi.spyOn(AbortSignal, "timeout").mockImplementation((limit_ms) => {
      const stop = new AbortController();
      setTimeout(() => stop.abort(new DOMException("timed out", "TimeoutError")), limit_ms);
      return stop.signal;
    });
    server.faults = ["hangs"];
    const round = client.kick();
    while (server.calls.length === 0) await new Promise((soon) => setImmediate(soon));
    vi.advanceTimersByTime(60_000);
    vi.useRealTimers();
    const stuck = new Promise<string>((soon) => setTimeout(() => soon("still waiting"), 500));
    expect(await Promise.race([round, stuck])).toBeUndefined();
    expect(client.state).toBe("offline");
    expect(await countWaiting(store)).toEqual({ entries: 1, photos: 0 });
  });

  it("does nothing before the phone has joined", async () => {
    const [store, server] = [freshStore(), new FakeServer()];
    await writeEntries(store, [newEntry()]);
    await clientOf(store, server, { is_joined: () => false }).client.syncNow();
    expect(server.calls).toEqual([]);
  });

  it("sends a mark that was made while it was busy", async () => {
    const { store, server, client } = await shopWith(1);
    const first = client.kick();
    await writeEntries(store, [newEntry()]);
    await Promise.all([first, client.kick()]);
    await vi.waitFor(() => expect(server.rows).toHaveLength(2));
  });
});

describe("pulling", () => {
  it("brings every page of what other phones wrote", async () => {
    const { store, server, client, seen } = await shopWith(0);
    server.rows = Array.from({ length: 11 }, (_none, n) => ({
      ...placed({ lamport: n + 1 }),
      seq: n * 2 + 1,
      received_ms: 1,
    }));
    server.page = 4;
    await client.kick();
    expect(await readLog(store, LOG_ID)).toHaveLength(11);
    expect(await getMeta(store, "since")).toBe(21);
    expect(seen.rows).toContain(LOG_ID);
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });

  it("keeps neither rows nor cursor when one row cannot be kept, and fetches them again", async () => {
    const { store, server, client, seen } = await shopWith(0);
    server.rows = [1, 2, 3].map((n) => ({ ...placed({ lamport: n }), seq: n, received_ms: 1 }));
    const put = IDBObjectStore.prototype.put;
    let count = 0;
    const failing = vi.spyOn(IDBObjectStore.prototype, "put").mockImplementation(function (
      this: IDBObjectStore,
      value,
      key,
    ) {
      if (this.name === "entries" && ++count === 3) throw new DOMException("broken", "DataError");
      return key === undefined ? put.call(this, value) : put.call(this, value, key);
    });
    await client.kick();
    expect(await readLog(store, LOG_ID)).toEqual([]);
    expect(await getMeta(store, "since")).toBeUndefined();
    expect(seen.trouble).toHaveLength(1);
    failing.mockRestore();
    await client.kick();
    expect(await readLog(store, LOG_ID)).toHaveLength(3);
  });

  it("takes over what was erased, and keeps no copy of the picture", async () => {
    const { store, server, client } = await shopWith(0);
    await writePhoto(store, { sha256: "abc", bytes: new ArrayBuffer(4), media_type: "image/jpeg", added_ms: 1 });
    const [entry] = await writeEntries(store, [newEntry({ kind: "photo", body: { sha256: "abc" } })]);
    await client.kick();
    const last = server.rows.at(-1);
    if (!last) throw new Error("the entry did not reach the server");
    server.rows = [{ ...last, body: { erased: true }, seq: 90 }];
    await client.kick();
    expect((await readLog(store, LOG_ID))[0]?.body).toEqual({ erased: true });
    expect((await readLog(store, LOG_ID))[0]?.id).toBe(entry?.id);
    expect(await readPhoto(store, "abc")).toBeUndefined();
  });
});

describe("a server restored from an older backup", () => {
  it("gets back what it lost, and its own new rows arrive", async () => {
    const { store, server, client } = await shopWith(20);
    await client.kick();
    const foreign = placed({ lamport: 50, device_id: "device-b" });
    server.epoch = "epoch-2";
    server.rows = [{ ...foreign, seq: 1, received_ms: 1 }];
    await client.kick();
    expect(server.rows).toHaveLength(21);
    expect(ids(await readLog(store, LOG_ID))).toEqual(ids(server.rows));
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });
});

describe("pictures", () => {
  const picture = (bytes: number) => {
    const content = new Uint8Array(bytes).map((_none, at) => at % 251);
    return { sha256: `hash-${bytes}`, bytes: content.buffer, media_type: "image/jpeg", added_ms: 1 };
  };

  it("go in parts, and arrive whole on a link that is cut again and again", async () => {
    const { store, server, client } = await shopWith(1);
    await writePhoto(store, picture(900_000));
    let parts = 0;
    server.on_part = () => {
      parts += 1;
      if (parts % 2 === 0) throw new TypeError("link cut");
    };
    for (let n = 0; n < 8; n += 1) await client.kick();
    expect(server.photos.get("hash-900000")?.bytes).toEqual(new Uint8Array(picture(900_000).bytes));
    expect(parts).toBeLessThanOrEqual(9);
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });

  it("never stand before text: text written between two parts goes first", async () => {
    const { store, server, client } = await shopWith(0);
    await writePhoto(store, picture(900_000));
    let written = false;
    server.on_part = async () => {
      if (!written) await writeEntries(store, [newEntry()]);
      written = true;
    };
    await client.kick();
    const text_at = server.calls.lastIndexOf("POST /api/sync");
    expect(server.rows).toHaveLength(1);
    expect(text_at).toBeLessThan(server.calls.lastIndexOf("PUT /api/photos/hash-900000"));
    expect(server.photos.get("hash-900000")?.bytes).toHaveLength(900_000);
  });

  it("that the server refuses are kept here, and block nothing", async () => {
    const { store, server, client } = await shopWith(0);
    await writePhoto(store, picture(10));
    await writePhoto(store, picture(20));
    server.refuse.set("hash-10", "not_a_picture");
    await client.kick();
    expect([...server.photos.keys()]).toEqual(["hash-20"]);
    expect(await readPhoto(store, "hash-10")).toBeDefined();
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 1 });
  });

  it("that alone meet a server in trouble hold up neither the others nor small copies", async () => {
    const { store, server } = await shopWith(0);
    await writePhoto(store, picture(10));
    await writePhoto(store, picture(20));
    await setMeta(store, "small_wanted", ["ill", "well"]);
    server.photos.set("well", { bytes: new Uint8Array(3), length: 3 });
    const fetching: Fetch = (path, init) => {
      if (path.endsWith("hash-10")) return Promise.resolve(server.reply(500, { message: "unforeseen" }));
      if (path.includes("ill?")) return Promise.resolve(server.reply(422, { message: "not_a_picture" }));
      return server.fetching(path, init);
    };
    const { client } = clientOf(store, server, { fetching });
    await client.kick();
    expect(server.photos.has("hash-20")).toBe(true);
    expect(await readSmall(store, "well")).toBeDefined();
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 1 });
    expect(client.state).toBe("offline");
  });

  it("whose bytes are right are not given up for a wrong part that another phone sent", async () => {
    const { store, server, client } = await shopWith(0);
    const bytes = new Uint8Array([1, 2, 3]).buffer;
    const sha256 = await sha256Of(bytes);
    await writePhoto(store, { ...picture(1), sha256, bytes });
    server.refuse.set(sha256, "wrong_hash");
    await client.kick();
    server.refuse.clear();
    await client.kick();
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });

  it("whose own bytes are wrong are set aside with that word", async () => {
    const { store, server, client } = await shopWith(0);
    await writePhoto(store, picture(10));
    server.refuse.set("hash-10", "wrong_hash");
    await client.kick();
    expect(await getMeta(store, "photos_refused")).toEqual({ "hash-10": "wrong_hash" });
  });

  it("that one server refused are offered to the next, or to the same restored", async () => {
    const { store, server, client } = await shopWith(0);
    await writePhoto(store, picture(10));
    server.refuse.set("hash-10", "not_allowed");
    await client.kick();
    server.refuse.clear();
    server.epoch = "epoch-2";
    await client.kick();
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });

  it("whose small copy breaks off on its way stay wanted, and nobody is told of trouble", async () => {
    const [store, server] = [freshStore(), new FakeServer()];
    await setMeta(store, "small_wanted", ["far"]);
    const torn = async (path: string, init?: RequestInit) => {
      if (!path.endsWith("small=1")) return server.fetching(path, init);
      const body = new ReadableStream({ pull: (flow) => flow.error(new TypeError("terminated")) });
      return new Response(body, { headers: { "Temperward-Epoch": server.epoch } });
    };
    const { client, seen } = clientOf(store, server, { fetching: torn });
    await client.kick();
    expect(seen.trouble).toEqual([]);
    expect(client.state).toBe("offline");
    expect(await getMeta(store, "small_wanted")).toEqual(["far"]);
  });

  it("of other phones come as small copies, as soon as they are there", async () => {
    const { store, server, client } = await shopWith(0);
    server.rows = [{ ...placed({ kind: "photo", body: { sha256: "far" } }), seq: 1, received_ms: 1 }];
    await client.kick();
    expect(await readSmall(store, "far")).toBeUndefined();
    server.photos.set("far", { bytes: new Uint8Array([1, 2, 3]), length: 3 });
    await client.kick();
    expect((await readSmall(store, "far"))?.bytes.byteLength).toBe(3);
    expect(await getMeta(store, "small_wanted")).toEqual([]);
  });
});

describe("two tabs of one phone", () => {
  it("leave each entry once on the server, and share the work", async () => {
    const [store, server] = [freshStore(), new FakeServer()];
    for (let n = 0; n < 100; n += 1) await writeEntries(store, [newEntry()]);
    const one = clientOf(store, server, { tab: "tab-1" }).client;
    const two = clientOf(store, server, { tab: "tab-2" }).client;
    await Promise.all([one.kick(), two.kick()]);
    expect(server.rows).toHaveLength(100);
    expect(server.calls.filter((call) => call === "POST /api/sync").length).toBeLessThanOrEqual(2);
  });

  it("do not wait for a tab that died, nor for a clock that was set back", async () => {
    const { store, server, client } = await shopWith(1);
    await setMeta(store, "lease", { tab: "dead", until_ms: 4_999_999 });
    await client.kick();
    expect(server.rows).toHaveLength(1);
    await writeEntries(store, [newEntry()]);
    await setMeta(store, "lease", { tab: "from the future", until_ms: 99_000_000 });
    await client.kick();
    expect(server.rows).toHaveLength(2);
  });
});
