import { beforeEach, expect, it } from "vitest";
import { makeCheck } from "../../actions/checks.ts";
import { blades } from "../../state/blades.ts";
import { nowMs } from "../../state/moment.ts";
import { route, routeFrom } from "../../state/route.ts";
import { shop } from "../../state/shop.ts";
import { readLog } from "../../store/entries.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { type FreshApp, freshApp } from "../../testing/fresh_app.ts";
import { onKey } from "../keys.ts";
import { batches, canTakeOut, dropping, loadOven, lots, pressTile, takeOut } from "./batch.ts";

const IDS = ["01935a00-0000-7000-8000-00000000000a", "01935a00-0000-7000-8000-00000000000b"] as const;
let world: FreshApp;

const logs = () => Promise.all(IDS.map((id) => readLog(world.store, id)));
const written = async (count: number) => {
  let all = (await logs()).flat();
  while (all.length < count) {
    await new Promise((resolve) => setTimeout(resolve, 5));
    all = (await logs()).flat();
  }
  return all.map(({ log_id, body }): { log_id: string; mark?: unknown; entry_id?: unknown } => ({ log_id, ...body }));
};

beforeEach(() => {
  world = freshApp();
  dropping.value = false;
  route.value = routeFrom("");
  shop.value = { ...shop.peek(), device_id: world.app.device_id };
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
});

/** The rows as they are after a restart: only what the engine folded. */
const inTheOven = (undo_id = "any") => {
  blades.value = IDS.map((piece_id) => {
    const undo = { entry_id: undo_id, until_ms: nowMs.value + 1, device_id: world.app.device_id };
    const fold = foldAnswer({ log_id: piece_id, lot: { log_id: piece_id, state: "temper_in_heat" }, undo });
    return { piece_id, tag: piece_id, fold, only_here: 0 };
  });
};

it("takes all of them out again with one press, though none is open and the page was killed meanwhile", async () => {
  loadOven(IDS);
  await written(2);
  inTheOven();
  takeOut();
  const all = await written(4);
  const marks = (await logs()).flat().filter(({ kind }) => kind === "mark");
  expect(all.filter(({ entry_id }) => entry_id).map(({ log_id, entry_id }) => [log_id, entry_id])).toEqual(
    marks.map(({ log_id, id }) => [log_id, id]),
  );
});

it("takes out what was loaded last, not what was in the oven before nor what was written since", async () => {
  loadOven([IDS[0]]);
  await written(1);
  loadOven([IDS[1]]);
  await written(2);
  void makeCheck(IDS[0], "oven_temperature", { temperature_c: 200 });
  await written(3);
  inTheOven();
  takeOut();
  const [taken] = (await written(4)).filter(({ entry_id }) => entry_id);
  expect(taken?.log_id).toBe(IDS[1]);
});

it("takes nothing out once it is too late, or when another phone loaded", () => {
  inTheOven();
  expect(canTakeOut()).toBe(true);
  nowMs.value += 1;
  expect(canTakeOut()).toBe(false);
  inTheOven();
  shop.value = { ...shop.peek(), device_id: "another" };
  expect(canTakeOut()).toBe(false);
});

it("does the same by the key for undo", async () => {
  loadOven(IDS);
  await written(2);
  inTheOven();
  route.value = routeFrom("#/batch");
  onKey(new KeyboardEvent("keydown", { key: "Backspace" }));
  expect((await written(4)).filter(({ entry_id }) => entry_id)).toHaveLength(2);
});

it("keeps two batches apart: one press never loads another's blades", () => {
  blades.value = ["B7", "B7", "C1", null, null].map((batch, at) => {
    const fold = foldAnswer({ log_id: `${at}`, batch, lot: { log_id: `${at}` } });
    return { piece_id: `${at}`, tag: `${at}`, fold, only_here: 0 };
  });
  expect(batches()).toEqual([
    { name: "B7", n: 2 },
    { name: "-", n: 2 },
  ]);
  expect(lots()).toEqual([{ log_id: "0" }, { log_id: "1" }]);
  route.value = routeFrom("#/batch/-");
  expect(lots()).toEqual([{ log_id: "3" }, { log_id: "4" }]);
});

it("asks for as many as the engine takes, the most urgent", () => {
  blades.value = Array.from({ length: 25 }, (_, at) => {
    const fold = foldAnswer({ log_id: `${at}`, lot: { log_id: `${at}` } });
    return { piece_id: `${at}`, tag: `${at}`, fold, only_here: 0 };
  });
  expect(lots()).toHaveLength(24);
  expect(lots()[0]).toEqual({ log_id: "0" });
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
