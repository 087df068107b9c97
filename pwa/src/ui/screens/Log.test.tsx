import { cleanup, fireEvent, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { startSync } from "../../actions/sync.ts";
import type { Entry } from "../../engine/types.ts";
import { openBlade } from "../../state/blades.ts";
import { shop } from "../../state/shop.ts";
import { FakeServer } from "../../testing/fake_server.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { LOG_ID, placed } from "../../testing/fresh_store.ts";
import { say } from "../say.ts";
import { Log } from "./Log.tsx";

const HELD_MS = 900;
let server: FakeServer;

function showLog(...entries: Entry[]): void {
  const blade = { tag: "QF-1", fold: foldAnswer({ withdrawn: [] }), card: null, earlier_cards: [], folding: false };
  openBlade.value = { ...blade, only_here: new Set<string>(), piece_id: LOG_ID, entries };
  render(<Log piece_id={LOG_ID} />);
}
const erasers = () => screen.queryAllByText(say("log.erase"));

beforeEach(() => {
  server = new FakeServer();
  const { app } = freshApp();
  vi.stubGlobal("fetch", server.fetching);
  shop.value = { ...shop.peek(), joined: true, role: "owner", shop_id: "shop-1" };
  app.sync = startSync();
});

afterEach(() => {
  cleanup();
  openBlade.value = null;
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

it("lets the owner erase words and photos, and nothing that has none", () => {
  showLog(
    placed({ body: { text: "a name" } }),
    placed({ kind: "photo", body: { sha256: "p" } }),
    placed({ kind: "mark", body: { mark: "quenched" } }),
    placed({ body: { erased: true } }),
  );
  expect(erasers()).toHaveLength(2);
});

it("offers it to nobody else", () => {
  shop.value = { ...shop.peek(), role: "smith" };
  showLog(placed({ body: { text: "a name" } }));
  expect(erasers()).toEqual([]);
});

it("erases when it is held, not when it is touched", async () => {
  const entry = placed({ body: { text: "a name" } });
  server.rows = [{ ...entry, seq: 1, received_ms: 1 }];
  showLog(entry);
  vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] });
  const button = erasers()[0] as HTMLElement;
  fireEvent.pointerDown(button);
  fireEvent.pointerUp(button);
  vi.advanceTimersByTime(HELD_MS);
  expect(server.calls).toEqual([]);
  fireEvent.pointerDown(button);
  vi.advanceTimersByTime(HELD_MS);
  vi.useRealTimers();
  await vi.waitFor(() => expect(server.rows[0]?.body).toEqual({ erased: true }));
});
