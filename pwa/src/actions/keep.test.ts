// @vitest-environment node
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { openBlade } from "../state/blades.ts";
import { kept, notices } from "../state/moment.ts";
import { outbox } from "../state/outbox.ts";
import { readLog } from "../store/entries.ts";
import { countWaiting } from "../store/outbox.ts";
import { type FreshApp, freshApp } from "../testing/fresh_app.ts";
import { LOG_ID } from "../testing/fresh_store.ts";
import { makeCheck } from "./checks.ts";
import { moveMark, withdraw } from "./corrections.ts";
import { doAction, makeMark } from "./marks.ts";

let world: FreshApp;
beforeEach(() => {
  world = freshApp();
});
afterEach(() => vi.restoreAllMocks());

const OTHER_ID = "01935a00-0000-7000-8000-000000000002";
const OPEN = { tag: "", fold: null, card: null, earlier_cards: [], only_here: new Set<string>(), folding: false };

describe("a mark", () => {
  it("is an entry with who, when and where, on its way to the server", async () => {
    const answer = await makeMark(LOG_ID, "quenched", { body: { note: 1 } });
    const [entry] = await readLog(world.store, LOG_ID);
    expect(entry).toMatchObject({
      log_kind: "piece",
      kind: "mark",
      version: 1,
      body: { mark: "quenched", note: 1 },
      lamport: 1,
      happened_ms: world.clock.now_ms,
      written_ms: world.clock.now_ms,
      at_source: "live",
      initials: "MO",
      device_id: world.app.device_id,
    });
    expect(entry).not.toHaveProperty("group_id");
    expect(answer).toMatchObject({ kept: true, entry_id: entry?.id, log_id: LOG_ID });
    expect(await countWaiting(world.store)).toEqual({ entries: 1, photos: 0 });
  });

  it("carries by how much the clock was wrong at the last contact, and its own times as they were", async () => {
    outbox.value = { ...outbox.peek(), skew_ms: null };
    await makeMark(LOG_ID, "quenched");
    outbox.value = { ...outbox.peek(), skew_ms: 3_600_000 };
    await makeMark(LOG_ID, "stiff");
    const [before, after] = await readLog(world.store, LOG_ID);
    expect(before).not.toHaveProperty("skew_ms");
    expect(after).toMatchObject({ skew_ms: 3_600_000, happened_ms: world.clock.now_ms });
  });

  it("is acknowledged when it is kept, and the other tabs hear of it", async () => {
    const answer = await makeMark(LOG_ID, "quenched");
    expect(kept.value?.entry_id).toBe(answer.kept && answer.entry_id);
    expect(world.announced).toEqual([LOG_ID]);
  });

  it("of several blades is one entry each, in one group", async () => {
    await makeMark(LOG_ID, "in_oven", { also: [OTHER_ID, LOG_ID] });
    const [one] = await readLog(world.store, LOG_ID);
    const [other] = await readLog(world.store, OTHER_ID);
    expect(one?.group_id).toBeDefined();
    expect(other?.group_id).toBe(one?.group_id);
  });

  it("may be said to have happened earlier", async () => {
    await makeMark(LOG_ID, "quenched", { when: { happened_ms: 5, plus_minus_s: 300, at_source: "estimated" } });
    const [entry] = await readLog(world.store, LOG_ID);
    expect(entry).toMatchObject({
      happened_ms: 5,
      plus_minus_s: 300,
      at_source: "estimated",
      written_ms: world.clock.now_ms,
    });
  });

  it("that the store does not take is shown as not kept, and nothing pretends otherwise", async () => {
    vi.spyOn(IDBObjectStore.prototype, "add").mockImplementation(() => {
      throw new DOMException("disk broken", "DataError");
    });
    const answer = await makeMark(LOG_ID, "quenched");
    expect(answer).toMatchObject({ kept: false, note: { key: "phone.not_kept" } });
    expect(kept.value).toBeNull();
    expect(notices.value.map((notice) => notice.kind)).toContain("not_kept");
  });

  it("on a full phone says that it is full", async () => {
    vi.spyOn(IDBObjectStore.prototype, "add").mockImplementation(() => {
      throw new DOMException("full", "QuotaExceededError");
    });
    expect(await makeMark(LOG_ID, "quenched")).toMatchObject({ kept: false, note: { key: "phone.full" } });
  });
});

describe("what the engine offers", () => {
  const label = { key: "x" };

  it("is done with its own body and what the screen adds", async () => {
    await doAction(
      LOG_ID,
      { do: "check", check: "magnet", body: { place: "tip", rising: true }, label, hold: false, kind: "go" },
      { body: { answer: "none" } },
    );
    const [entry] = await readLog(world.store, LOG_ID);
    expect(entry).toMatchObject({
      kind: "check",
      body: { check: "magnet", place: "tip", rising: true, answer: "none" },
    });
  });

  it("is not written when it only leads to a screen", async () => {
    const answer = await doAction(LOG_ID, { do: "open", screen: "card", label, hold: false, kind: "plain" });
    expect(answer.kept).toBe(false);
    expect(await readLog(world.store, LOG_ID)).toEqual([]);
  });
});

describe("a correction", () => {
  it("is a new entry: the old one stays as it was", async () => {
    const first = await makeCheck(LOG_ID, "bow", { bow_mm: 0.3, length_mm: 200 });
    if (!first.kept) throw new Error("not kept");
    await moveMark(LOG_ID, first.entry_id, { happened_ms: 9, plus_minus_s: 60 });
    await withdraw(LOG_ID, first.entry_id);
    const log = await readLog(world.store, LOG_ID);
    expect(log.map((entry) => [entry.kind, entry.body])).toEqual([
      ["check", { check: "bow", bow_mm: 0.3, length_mm: 200 }],
      ["correct", { entry_id: first.entry_id, happened_ms: 9, plus_minus_s: 60 }],
      ["withdraw", { entry_id: first.entry_id }],
    ]);
  });

  it("that two logs are one blade is said in both, and taken back in both", async () => {
    const body = { log_id: OTHER_ID, with_id: LOG_ID };
    await doAction(LOG_ID, { do: "same_as", body, also: [OTHER_ID], label: { key: "x" }, hold: true, kind: "plain" });
    await makeMark(OTHER_ID, "shaped");
    const entries = [...(await readLog(world.store, OTHER_ID)), ...(await readLog(world.store, LOG_ID))];
    openBlade.value = { ...OPEN, piece_id: OTHER_ID, entries };
    await withdraw(OTHER_ID, (await readLog(world.store, OTHER_ID))[0]?.id ?? "");
    for (const log_id of [LOG_ID, OTHER_ID]) {
      const log = await readLog(world.store, log_id);
      expect(log[0]).toMatchObject({ kind: "same_as", body });
      expect(log.filter(({ kind }) => kind === "withdraw").map((gone) => gone.body)).toEqual([
        { entry_id: log[0]?.id },
      ]);
    }
  });
});
