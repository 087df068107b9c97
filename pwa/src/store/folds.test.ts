import { describe, expect, it } from "vitest";
import { freshStore, LOG_ID } from "../testing/fresh_store.ts";
import { isFresh, readFold, writeFold } from "./folds.ts";
import type { FoldRow } from "./schema.ts";

const row = (change: Partial<FoldRow> = {}): FoldRow => ({
  log_id: LOG_ID,
  log_kind: "piece",
  engine_version: "1",
  count: 3,
  last_id: "c",
  answer: {},
  changes_at_ms: [2_000],
  ...change,
});

const now = { engine_version: "1", count: 3, last_id: "c", now_ms: 1_000 };

describe("a stored fold", () => {
  it.each([
    ["same log, engine and moment", now, true],
    ["another engine", { ...now, engine_version: "2" }, false],
    ["one entry more", { ...now, count: 4 }, false],
    ["another last entry", { ...now, last_id: "d" }, false],
    ["time has changed the answer", { ...now, now_ms: 2_000 }, false],
  ])("%s: right %s", (_what, moment, right) => {
    expect(isFresh(row(), moment)).toBe(right);
  });

  it("is never replaced by one of fewer entries", async () => {
    const store = freshStore();
    await writeFold(store, row({ count: 4 }));
    await writeFold(store, row({ count: 3 }));
    expect((await readFold(store, LOG_ID))?.count).toBe(4);
  });
});
