// @vitest-environment node
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { shop } from "../state/shop.ts";
import { readLog, writeEntries } from "../store/entries.ts";
import { getMeta, setMeta } from "../store/meta.ts";
import { countWaiting } from "../store/outbox.ts";
import { FakeServer } from "../testing/fake_server.ts";
import { type FreshApp, freshApp } from "../testing/fresh_app.ts";
import { LOG_ID, newEntry, placed } from "../testing/fresh_store.ts";
import { joinAnotherShop, joinShop } from "./shop.ts";
import { exportFile, startSync } from "./sync.ts";

let world: FreshApp;
let server: FakeServer;
const HOME = { joined: false, held: false, role: "owner", name: "", zone: "UTC", device_id: "" } as const;

beforeEach(() => {
  world = freshApp();
  server = new FakeServer();
  shop.value = HOME;
  vi.stubGlobal("fetch", server.fetching);
  world.app.sync = startSync();
});
afterEach(() => {
  world.app.sync?.stop();
  vi.unstubAllGlobals();
});

describe("joining a shop", () => {
  it("sends what the phone wrote before it had joined", async () => {
    await writeEntries(world.store, [newEntry(), newEntry()]);
    expect(await joinShop("ABCD2345", "phone")).toEqual({ joined: true });
    expect(server.rows).toHaveLength(2);
    expect(shop.value).toMatchObject({ joined: true, name: "Quillfen Forge", role: "smith" });
  });

  it("says so when nobody answers, and nothing is lost", async () => {
    await writeEntries(world.store, [newEntry()]);
    server.faults = ["no_link"];
    expect(await joinShop("ABCD2345", "phone")).toEqual({ joined: false, note: { key: "phone.no_server" } });
    expect(await countWaiting(world.store)).toEqual({ entries: 1, photos: 0 });
  });

  it("again, after the sign-in had ended, drains the queue", async () => {
    await writeEntries(world.store, [newEntry()]);
    await joinShop("ABCD2345", "phone");
    await writeEntries(world.store, [newEntry()]);
    expect(await joinShop("BCDE3456", "phone")).toEqual({ joined: true });
    expect(server.rows).toHaveLength(2);
  });

  it("that is another one sends nothing there, and keeps everything here", async () => {
    await writeEntries(world.store, [newEntry()]);
    await joinShop("ABCD2345", "phone");
    await writeEntries(world.store, [newEntry()]);
    const theirs = new FakeServer();
    theirs.rows = [{ ...placed({ log_id: "01935a00-0000-7000-8000-0000000000aa" }), seq: 1, received_ms: 1 }];
    vi.stubGlobal("fetch", theirs.fetching);
    expect(await joinShop("CDEF4567", "phone")).toEqual({ joined: false, note: { key: "phone.other_shop" } });
    expect(theirs.rows).toHaveLength(1);
    expect(await countWaiting(world.store)).toEqual({ entries: 1, photos: 0 });
    expect(await readLog(world.store, "01935a00-0000-7000-8000-0000000000aa")).toEqual([]);
  });
});

describe("going over to another shop on purpose", () => {
  it("is refused while something is only on this phone", async () => {
    await writeEntries(world.store, [newEntry()]);
    const answer = await joinAnotherShop("ABCD2345", "phone");
    expect(answer).toEqual({ joined: false, note: { key: "phone.only_here_first", facts: { entries: 1, photos: 0 } } });
    expect(await readLog(world.store, LOG_ID)).toHaveLength(1);
  });

  it("leaves the old shop's data behind after an export, as a new device", async () => {
    await setMeta(world.store, "generation", "g");
    await writeEntries(world.store, [newEntry({ written_ms: world.clock.now_ms - 1 })]);
    await exportFile();
    const old_id = world.app.device_id;
    expect(await joinAnotherShop("ABCD2345", "phone")).toEqual({ joined: true });
    expect(await readLog(world.store, LOG_ID)).toEqual([]);
    expect(server.rows).toEqual([]);
    expect(world.app.device_id).not.toBe(old_id);
    expect(await getMeta(world.store, "generation")).toBe("g");
  });
});
