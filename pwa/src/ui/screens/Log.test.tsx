import { cleanup, fireEvent, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { theApp } from "../../actions/context.ts";
import { startSync } from "../../actions/sync.ts";
import type { Entry, FoldAnswer } from "../../engine/types.ts";
import { openBlade } from "../../state/blades.ts";
import { shop } from "../../state/shop.ts";
import { readLog } from "../../store/entries.ts";
import { FakeServer } from "../../testing/fake_server.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { LOG_ID, placed } from "../../testing/fresh_store.ts";
import { say } from "../say.ts";
import { Log } from "./Log.tsx";

const HELD_MS = 900;
let server: FakeServer;

function showLog(...entries: Entry[]): void {
  showFolded(foldAnswer(), entries);
}

function showFolded(fold: FoldAnswer, entries: readonly Entry[]): void {
  const blade = { tag: "QF-1", fold, card: null, earlier_cards: [], folding: false };
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

const bow = (id: string, bow_mm: number, device_id: string): Entry =>
  placed({ id, kind: "check", device_id, body: { check: "bow", bow_mm, length_mm: 420 } });

it("lays two values of one check side by side, with a way to choose, until one is chosen", () => {
  const entries = [bow("a", 0.15, "phone-a"), bow("b", 0.55, "phone-b"), placed({ kind: "mark" })];
  const text = { key: "fold.flag.conflict", facts: { check: "bow" } };
  const open = {
    id: "conflict",
    facts: { check: "bow", entry_ids: ["a", "b"] },
    text,
    shape: "triangle",
    entry_ids: ["a", "b"],
  } as const;
  const disputed = ["a", "b"];
  showFolded(foldAnswer({ flags: [open], disputed }), entries);
  const flag = screen.getByText(/Two phones say different things/).closest("section");
  const lines = [...(flag?.querySelectorAll("details") ?? [])];
  expect(lines.map((line) => line.textContent?.match(/0\.\d\d mm/)?.[0])).toEqual(["0.15 mm", "0.55 mm"]);
  expect(lines.every((line) => line.open)).toBe(true);
  expect(flag?.textContent?.split(say("log.this_counts"))).toHaveLength(3);
  cleanup();
  showFolded(foldAnswer({ disputed }), entries);
  expect(screen.queryByText(/Two phones say different things/)).toBeNull();
});

it("shows an entry as it was once its correction was taken back", () => {
  const entries = [
    bow("a", 0.15, "phone-a"),
    placed({ id: "c", kind: "correct", body: { entry_id: "a", body: { check: "bow", bow_mm: 0.95, length_mm: 420 } } }),
  ];
  showFolded(foldAnswer(), entries);
  expect(document.querySelector("s.struck")?.textContent).toContain("0.15");
  cleanup();
  showFolded(foldAnswer({ withdrawn: ["c"] }), entries);
  expect(document.querySelector("s.struck")).toBeNull();
  expect(document.body.textContent).not.toContain("0.95");
});

it("puts back what was taken back, by the withdrawal that still stands", async () => {
  const mark = placed({ id: "mark", kind: "mark", body: { mark: "quenched" } });
  const taking = ["first", "second", "third"].map((id) =>
    placed({ id, kind: "withdraw", body: { entry_id: mark.id } }),
  );
  showFolded(foldAnswer({ withdrawn: ["mark", "third"] }), [mark, ...taking]);
  expect(screen.queryByText(say("log.take_back"))).toBeNull();
  fireEvent.click(screen.getByText(say("log.put_back")));
  await vi.waitFor(async () => {
    const log = await readLog(theApp().store, LOG_ID);
    expect(log.map(({ kind, body }) => [kind, body.entry_id])).toEqual([["withdraw", "second"]]);
  });
});
