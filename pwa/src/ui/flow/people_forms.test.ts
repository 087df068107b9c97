// @vitest-environment node
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { startSync } from "../../actions/sync.ts";
import { outbox } from "../../state/outbox.ts";
import { shop } from "../../state/shop.ts";
import { readLog, writeEntries } from "../../store/entries.ts";
import { countWaiting } from "../../store/outbox.ts";
import { FakeServer } from "../../testing/fake_server.ts";
import { type FreshApp, freshApp } from "../../testing/fresh_app.ts";
import { LOG_ID, newEntry } from "../../testing/fresh_store.ts";
import { join, joinForm, joining } from "./people_forms.ts";

let world: FreshApp;
let server: FakeServer;

beforeEach(() => {
  world = freshApp();
  server = new FakeServer();
  vi.stubGlobal("location", { hash: "" });
  vi.stubGlobal("fetch", server.fetching);
  shop.value = { ...shop.peek(), joined: false };
  world.app.sync = startSync();
});
afterEach(() => {
  shop.value = { ...shop.peek(), joined: false }; // no round comes after it
  vi.unstubAllGlobals();
});

/** Type a code on the Join screen and press. */
async function joinBy(code: string): Promise<void> {
  join(joinForm(code));
  await vi.waitFor(() => expect(joining.value).not.toBe("asking"));
}

describe("the Join screen", () => {
  it("signs a phone in again whose sign-in had ended: all is kept, and what waited goes", async () => {
    await joinBy("ABCD2345");
    await writeEntries(world.store, [newEntry()]);
    await world.app.sync?.syncNow();
    await writeEntries(world.store, [newEntry()]);
    server.faults = ["signed_out"];
    await world.app.sync?.syncNow();
    expect(outbox.value.state).toBe("signed_out");
    await joinBy("BCDE3456");
    expect(joining.value).toBe("no");
    expect(server.rows).toHaveLength(2);
    expect(await readLog(world.store, LOG_ID)).toHaveLength(2);
    expect(await countWaiting(world.store)).toEqual({ entries: 0, photos: 0 });
  });
});
