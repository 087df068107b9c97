import { beforeEach, expect, it } from "vitest";
import { blades } from "../../state/blades.ts";
import { routeFrom } from "../../state/route.ts";
import { readLog } from "../../store/entries.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { type FreshApp, freshApp } from "../../testing/fresh_app.ts";
import { dropping, loaded, loadOven, lots, pressTile } from "./batch.ts";

const IDS = ["01935a00-0000-7000-8000-00000000000a", "01935a00-0000-7000-8000-00000000000b"] as const;
let world: FreshApp;

const logs = () => Promise.all(IDS.map((id) => readLog(world.store, id)));
const written = async (count: number) => {
  let all = (await logs()).flat();
  while (all.length < count) {
    await new Promise((resolve) => setTimeout(resolve, 5));
    all = (await logs()).flat();
  }
  return all.map(({ log_id, body }) => ({ log_id, ...body }));
};

beforeEach(() => {
  world = freshApp();
  dropping.value = false;
  blades.value = IDS.map((piece_id, at) => {
    const fold = foldAnswer({ log_id: piece_id, lot: at === 0 ? { log_id: piece_id } : null });
    return { piece_id, tag: piece_id, fold, only_here: 0 };
  });
});

it("takes the rows of those blades that are between ready and tempered", () => {
  expect(lots()).toEqual([{ log_id: IDS[0] }]);
});

it("puts every hard blade into the oven with one press, and each into its own log", async () => {
  loadOven(IDS);
  expect(await written(2)).toEqual(IDS.map((log_id) => ({ log_id, mark: "in_oven", purpose: "temper" })));
  expect(loaded.value).toEqual(IDS);
});

it("logs a dropped blade with the second press", async () => {
  dropping.value = true;
  pressTile(IDS[1]);
  expect(await written(1)).toEqual([{ log_id: IDS[1], finding: "dropped_hard" }]);
  expect(dropping.value).toBe(false);
  expect(routeFrom(location.hash).rest).toEqual(["wrong", "dropped_hard"]);
});

it("opens a blade by its tile when none fell", async () => {
  pressTile(IDS[0]);
  expect(routeFrom(location.hash)).toMatchObject({ name: "blade", id: IDS[0], rest: [] });
  expect((await logs()).flat()).toEqual([]);
});
