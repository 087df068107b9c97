// @vitest-environment node
import { beforeEach, describe, expect, it } from "vitest";
import type { Action } from "../engine/types.ts";
import { readLog } from "../store/entries.ts";
import { type FreshApp, freshApp } from "../testing/fresh_app.ts";
import { LOG_ID } from "../testing/fresh_store.ts";
import { doAction } from "./marks.ts";

let world: FreshApp;
beforeEach(() => {
  world = freshApp();
});

const AGO_MS = 1_800_000;

const answer = (claims: "first" | "last"): Action => ({
  do: "mark",
  mark: "quenched",
  label: { key: "fold.do.quenched" },
  hold: false,
  kind: "go",
  between: { from_ms: world.clock.now_ms - AGO_MS, claims },
});

describe("an answer to what happened meanwhile", () => {
  it.each([
    ["first", AGO_MS],
    ["last", 0],
  ] as const)(
    "is back-dated to the %s instant it may have been, with the rest as its uncertainty",
    async (claims, ago) => {
      const now_ms = world.clock.now_ms;
      await doAction(LOG_ID, answer(claims));
      const [entry] = await readLog(world.store, LOG_ID);
      expect(entry).toMatchObject({ at_source: "back_dated", happened_ms: now_ms - ago, plus_minus_s: AGO_MS / 1000 });
    },
  );

  it("is live where nothing is in doubt", async () => {
    const { between: _between, ...plain } = answer("first");
    await doAction(LOG_ID, plain);
    const [entry] = await readLog(world.store, LOG_ID);
    expect(entry).toMatchObject({ at_source: "live", plus_minus_s: 1 });
  });

  it("is never of the future, where the clock was set back", async () => {
    const now_ms = world.clock.now_ms;
    await doAction(LOG_ID, { ...answer("first"), between: { from_ms: now_ms + 5_000, claims: "first" } });
    const [entry] = await readLog(world.store, LOG_ID);
    expect(entry).toMatchObject({ happened_ms: now_ms, plus_minus_s: 0 });
  });
});
