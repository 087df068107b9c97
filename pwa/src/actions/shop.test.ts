// @vitest-environment node
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { alarms } from "../state/alarms.ts";
import { notices } from "../state/moment.ts";
import { outbox } from "../state/outbox.ts";
import { shop } from "../state/shop.ts";
import { readLog, writeEntries } from "../store/entries.ts";
import { getMeta, setMeta } from "../store/meta.ts";
import { countWaiting } from "../store/outbox.ts";
import { readPhoto, writePhoto } from "../store/photos.ts";
import { wipe } from "../store/wipe.ts";
import { FakeServer } from "../testing/fake_server.ts";
import { type FreshApp, freshApp } from "../testing/fresh_app.ts";
import { LOG_ID, newEntry, placed } from "../testing/fresh_store.ts";
import { erase } from "./erase.ts";
import { claimShop, joinShop, wake } from "./shop.ts";
import { saveExport, sendAgain, startSync } from "./sync.ts";

let world: FreshApp;
let server: FakeServer;
const reload = vi.fn();
const HOME = { joined: false, role: "owner", shop_id: "", name: "", zone: "UTC", device_id: "" } as const;
const THEIR_LOG = "01935a00-0000-7000-8000-0000000000aa";

beforeEach(() => {
  world = freshApp();
  server = new FakeServer();
  server.signed_in = false;
  shop.value = HOME;
  reload.mockReset();
  vi.stubGlobal("fetch", server.fetching);
  vi.stubGlobal("location", { hash: "#/join", reload });
  world.app.sync = startSync();
});
afterEach(() => {
  shop.value = HOME; // no round comes after it
  vi.unstubAllGlobals();
});

const write = (count: number) =>
  writeEntries(
    world.store,
    Array.from({ length: count }, () => newEntry()),
  );

/** The browser's cookie, and the next code, are of another shop of the same server. */
function anotherShop(): FakeServer {
  const theirs = new FakeServer();
  theirs.shop_id = "shop-2";
  theirs.rows = [{ ...placed({ log_id: THEIR_LOG }), seq: 1, received_ms: 1 }];
  vi.stubGlobal("fetch", theirs.fetching);
  return theirs;
}

/** A share sheet that is closed, or not. */
function shareSheet(share: () => Promise<void>): void {
  vi.stubGlobal("navigator", { canShare: () => true, share });
}

describe("joining a shop", () => {
  it("sends what the phone wrote before it had joined", async () => {
    await write(2);
    expect(await joinShop("ABCD2345", "phone")).toEqual({ joined: true });
    expect(server.rows).toHaveLength(2);
    expect(shop.value).toMatchObject({ joined: true, shop_id: "shop-1", name: "Quillfen Forge", role: "smith" });
  });

  it("says so when nobody answers, and nothing is lost", async () => {
    await write(1);
    server.faults = ["no_link", "no_link"];
    expect(await joinShop("ABCD2345", "phone")).toEqual({ joined: false, note: { key: "phone.no_server" } });
    expect(await countWaiting(world.store)).toEqual({ entries: 1, photos: 0 });
  });

  it("of another shop with the queue still full sends nothing there, and keeps everything here", async () => {
    await write(1);
    await joinShop("ABCD2345", "phone");
    server.faults = ["signed_out"];
    await write(1);
    await world.app.sync?.syncNow();
    const theirs = anotherShop();
    expect(await joinShop("CDEF4567", "phone")).toEqual({
      joined: false,
      note: { key: "phone.only_here_first", facts: { entries: 1, photos: 0 } },
    });
    await world.app.sync?.syncNow();
    expect(theirs.rows).toHaveLength(1);
    expect(await readLog(world.store, LOG_ID)).toHaveLength(2);
    expect(await readLog(world.store, THEIR_LOG)).toEqual([]);
  });

  it("cut off when the other shop had let it in sends nothing there: nobody is signed in to the phone's own", async () => {
    await write(1);
    await joinShop("ABCD2345", "phone");
    await write(1);
    const theirs = anotherShop(); // the cookie is theirs, the log is not
    await world.app.sync?.syncNow();
    expect(theirs.rows).toHaveLength(1);
    expect(outbox.value.state).toBe("signed_out");
    expect(await countWaiting(world.store)).toEqual({ entries: 1, photos: 0 });
  });

  it("does not make a new shop of the log of another one, though nothing of it was ever stored", async () => {
    await joinShop("ABCD2345", "phone");
    await write(1);
    const theirs = anotherShop();
    expect(await claimShop("CDEF4567", "New Forge", "UTC", "phone")).toMatchObject({ joined: false });
    expect(theirs.rows).toHaveLength(1);
    expect(await countWaiting(world.store)).toEqual({ entries: 1, photos: 0 });
  });
});

describe("going over to another shop on purpose", () => {
  beforeEach(async () => {
    await joinShop("ABCD2345", "phone");
    await setMeta(world.store, "generation", "g");
    await write(1);
  });

  it("leaves the old shop's data behind after an export, as a new device", async () => {
    shareSheet(() => Promise.resolve());
    expect(await saveExport()).toBe(true);
    const theirs = anotherShop();
    expect(await joinShop("CDEF4567", "phone")).toEqual({ joined: true });
    expect(await readLog(world.store, LOG_ID)).toEqual([]);
    expect(await getMeta(world.store, "shop")).toMatchObject({ joined: true, shop_id: "shop-2" });
    expect(await getMeta(world.store, "device_id")).not.toBe(world.app.device_id);
    expect(reload).toHaveBeenCalledOnce(); // nothing of the old shop stays on the screen
    await world.app.sync?.syncNow();
    expect(await readLog(world.store, THEIR_LOG)).toHaveLength(1);
    expect(theirs.rows).toHaveLength(1);
    expect(await getMeta(world.store, "generation")).toBe("g");
  });

  it("empties nothing when the code is wrong, or nobody answers", async () => {
    await world.app.sync?.syncNow();
    const theirs = anotherShop();
    expect(await joinShop("WRONG234", "phone")).toMatchObject({ joined: false });
    theirs.faults = ["none", "no_link"]; // the link goes when the phone has heard that the code is another shop's
    expect(await joinShop("CDEF4567", "phone")).toEqual({ joined: false, note: { key: "phone.no_server" } });
    expect(await readLog(world.store, LOG_ID)).toHaveLength(1);
    expect(shop.value).toMatchObject({ joined: true, shop_id: "shop-1" });
  });

  it("is refused when the share sheet was closed: no file was saved", async () => {
    shareSheet(() => Promise.reject(new DOMException("closed", "AbortError")));
    expect(await saveExport()).toBe(false);
    anotherShop();
    expect(await joinShop("CDEF4567", "phone")).toMatchObject({ note: { key: "phone.only_here_first" } });
    expect(await readLog(world.store, LOG_ID)).toHaveLength(1);
  });

  it("is refused for a mark made after the export, also with the clock set back", async () => {
    shareSheet(() => Promise.resolve());
    await saveExport();
    world.clock.now_ms -= 3_600_000;
    await writeEntries(world.store, [newEntry({ written_ms: world.clock.now_ms })]);
    anotherShop();
    expect(await joinShop("CDEF4567", "phone")).toMatchObject({ note: { key: "phone.only_here_first" } });
    expect(await readLog(world.store, LOG_ID)).toHaveLength(2);
  });

  it("is refused for a mark made while the share sheet was open", async () => {
    shareSheet(async () => {
      await write(1);
    });
    await saveExport();
    anotherShop();
    expect(await joinShop("CDEF4567", "phone")).toMatchObject({ note: { key: "phone.only_here_first" } });
  });

  it("does not empty a mark that came between the look and the emptying", async () => {
    await world.app.sync?.syncNow();
    await write(1);
    expect(await wipe(world.store, "another")).toEqual({ entries: 1, photos: 0 });
    expect(await readLog(world.store, LOG_ID)).toHaveLength(2);
  });

  it("takes the old shop's push along: nobody there can wake this phone any more", async () => {
    await world.app.sync?.syncNow();
    const unsubscribed = vi.fn(() => Promise.resolve(true));
    const subscription = { endpoint: "https://push.example/1", unsubscribe: unsubscribed };
    const registration = { pushManager: { getSubscription: () => Promise.resolve(subscription) } };
    vi.stubGlobal("navigator", { serviceWorker: { getRegistration: () => Promise.resolve(registration) } });
    alarms.value = { ...alarms.peek(), push: "on" };
    anotherShop();
    expect(await joinShop("CDEF4567", "phone")).toEqual({ joined: true });
    expect(unsubscribed).toHaveBeenCalledOnce();
    expect(alarms.value.push).not.toBe("on");
  });
});

describe("a phone whose store was cleared", () => {
  it("but which is still signed in takes up its shop again, gets its log, and says so", async () => {
    server.signed_in = true;
    server.rows = [{ ...placed(), seq: 1, received_ms: 1 }];
    await wake();
    expect(shop.value).toMatchObject({ joined: true, shop_id: "shop-1" });
    expect(await readLog(world.store, LOG_ID)).toHaveLength(1);
    expect(notices.value.map(({ note }) => note.key)).toContain("phone.rejoined");
  });

  it("and which is signed in nowhere, or has no network, stays as it is", async () => {
    await wake();
    server.faults = ["no_link"];
    await wake();
    expect(shop.value.joined).toBe(false);
    expect(notices.value).toEqual([]);
  });

  it("does not mix its shop with another one whose code is typed before it was asked", async () => {
    const theirs = anotherShop();
    await write(1);
    const ours = new FakeServer();
    vi.stubGlobal("fetch", (path: string, init?: RequestInit) =>
      (path === "/api/join" ? ours : theirs).fetching(path, init),
    );
    await joinShop("CDEF4567", "phone");
    expect(ours.rows).toEqual([]);
    expect(ours.calls).toEqual(["POST /api/join", "POST /api/join"]);
    expect(await readLog(world.store, THEIR_LOG)).toEqual([]);
  });
});

describe("erasing", () => {
  it("takes the words of an entry, and a photo with its bytes, from the server and from here", async () => {
    await joinShop("ABCD2345", "phone");
    await writePhoto(world.store, { sha256: "p", bytes: new ArrayBuffer(9), media_type: "image/jpeg", added_ms: 1 });
    const log = await writeEntries(world.store, [newEntry(), newEntry({ kind: "photo", body: { sha256: "p" } })]);
    await world.app.sync?.syncNow();
    for (const entry of log) await erase(entry);
    expect((await readLog(world.store, LOG_ID)).map(({ body }) => body)).toEqual([{ erased: true }, { erased: true }]);
    expect(await readPhoto(world.store, "p")).toBeUndefined();
    expect(notices.value).toEqual([]);
  });

  it("says so when the server has it not yet, and nothing is gone", async () => {
    await joinShop("ABCD2345", "phone");
    const [entry] = await write(1);
    if (!entry) throw new Error("not kept");
    await erase(entry);
    expect(notices.value.map(({ note }) => note.key)).toEqual(["phone.not_erased"]);
    expect((await readLog(world.store, LOG_ID))[0]?.body).toEqual(entry.body);
  });
});

describe("what the server refused", () => {
  it("is offered again as it is, and never doubled, however often that is asked", async () => {
    await joinShop("ABCD2345", "phone");
    const [entry] = await write(1);
    const id = entry?.id ?? "";
    server.refuse.set(id, "not_allowed");
    await world.app.sync?.syncNow();
    expect(outbox.value.refused).toMatchObject([{ reason: "not_allowed" }]);
    for (let n = 0; n < 3; n += 1) await sendAgain(id);
    expect(await readLog(world.store, LOG_ID)).toHaveLength(1);
    expect(outbox.value.refused).toHaveLength(1);
    server.refuse.clear();
    await sendAgain(id);
    expect(outbox.value.refused).toEqual([]);
    expect(server.rows.map((row) => row.id)).toEqual([id]);
  });

  it("because another stands under its id is shown, and entered anew beside it", async () => {
    await joinShop("ABCD2345", "phone");
    const [entry] = await write(1);
    if (!entry) throw new Error("not kept");
    const other = { ...entry, body: { text: "theirs" }, seq: 1, received_ms: 1 };
    server.rows = [other];
    server.refuse.set(entry.id, "other_body");
    await world.app.sync?.syncNow();
    expect(outbox.value.refused).toMatchObject([{ entry: { body: entry.body }, reason: "other_body" }]);
    await sendAgain(entry.id);
    expect(outbox.value.refused).toEqual([]);
    const bodies = [other.body, entry.body];
    expect(server.rows.map((row) => row.body)).toEqual(bodies);
    expect((await readLog(world.store, LOG_ID)).map((one) => one.body)).toEqual(bodies);
    expect(await countWaiting(world.store)).toEqual({ entries: 0, photos: 0 });
  });

  it("because its envelope cannot be read keeps words, time and id in a new one", async () => {
    await joinShop("ABCD2345", "phone");
    const [entry] = await writeEntries(world.store, [newEntry({ happened_ms: 1_700_000_000_000.5 })]);
    if (!entry) throw new Error("not kept");
    server.refuse.set(entry.id, "bad_envelope");
    await world.app.sync?.syncNow();
    await sendAgain(entry.id);
    expect(outbox.value.refused).toMatchObject([{ reason: "bad_envelope" }]);
    server.refuse.clear();
    await sendAgain(entry.id);
    const { id, body, initials } = entry;
    const { device_id } = world.app;
    const anew = { id, body, initials, device_id, happened_ms: 1_700_000_000_001, at_source: "back_dated" };
    expect(server.rows).toMatchObject([anew]);
    expect(await readLog(world.store, LOG_ID)).toMatchObject([anew]);
  });

  it("of pictures is told with its reason, and offered again", async () => {
    await joinShop("ABCD2345", "phone");
    await writePhoto(world.store, { sha256: "p", bytes: new ArrayBuffer(9), media_type: "image/jpeg", added_ms: 1 });
    server.refuse.set("p", "not_allowed");
    await world.app.sync?.syncNow();
    expect(outbox.value.refused_photos).toEqual({ p: "not_allowed" });
    expect(outbox.value.state).toBe("refused");
    server.refuse.clear();
    await sendAgain("p");
    expect(outbox.value.refused_photos).toEqual({});
    expect(await countWaiting(world.store)).toEqual({ entries: 0, photos: 0 });
  });
});
