// @vitest-environment node
import { beforeEach, describe, expect, it } from "vitest";
import { alarms } from "../state/alarms.ts";
import { blades } from "../state/blades.ts";
import { away, health, notices, people, unsaved } from "../state/moment.ts";
import { readLog, writeEntries } from "../store/entries.ts";
import { idsOf } from "../store/ids.ts";
import { setMeta } from "../store/meta.ts";
import { brittleClock, foldAnswer } from "../testing/folds.ts";
import { type FreshApp, freshApp } from "../testing/fresh_app.ts";
import { LOG_ID, newEntry } from "../testing/fresh_store.ts";
import { checkClock, lookBack, seen } from "./catch_up.ts";
import { dropDraft, loadDraft, saveDraft } from "./drafts.ts";
import { allClear, startPeople } from "./people.ts";
import { silence, watchClocks } from "./ring.ts";

let world: FreshApp;
beforeEach(() => {
  world = freshApp();
  alarms.value = { ...alarms.peek(), ringing: null, silenced: [] };
});

const overdue = () => {
  const clock = brittleClock({
    stages: brittleClock().stages.map((one) => ({ ...one, due_ms: world.clock.now_ms - 1_000 })),
  });
  const fold = foldAnswer({ log_id: LOG_ID, clocks: [clock] });
  blades.value = [{ piece_id: LOG_ID, tag: "QF-103", fold, only_here: 0 }];
};

describe("FIRE, CO and HURT", () => {
  it("silence every alarm at once, before anything is written", async () => {
    overdue();
    watchClocks();
    expect(alarms.value.ringing).not.toBeNull();
    const written = startPeople("fire");
    expect(people.value?.kind).toBe("fire");
    expect(alarms.value.ringing).toBeNull();
    await written;
  });

  it("are written into the log of each blade that is left behind", async () => {
    overdue();
    await startPeople("co");
    expect((await readLog(world.store, LOG_ID)).map((entry) => entry.body)).toEqual([{ finding: "co_alarm" }]);
  });

  it("give back a blade whose fold has not yet come when all is clear", async () => {
    overdue();
    await startPeople("fire");
    overdue(); // as if no fold had answered since
    await allClear();
    expect((await readLog(world.store, LOG_ID)).map((entry) => entry.body)).toEqual([
      { finding: "tank_fire" },
      { mark: "all_clear" },
    ]);
  });

  it("are kept in order however soon all is clear", async () => {
    overdue();
    void startPeople("fire");
    await allClear();
    expect((await readLog(world.store, LOG_ID)).map((entry) => entry.kind)).toEqual(["finding", "mark"]);
  });

  it("are written for a blade in the fire on which no clock runs yet", async () => {
    blades.value = [
      { piece_id: LOG_ID, tag: "QF-103", fold: foldAnswer({ log_id: LOG_ID, at_work: "hands" }), only_here: 0 },
    ];
    await startPeople("fire");
    expect((await readLog(world.store, LOG_ID)).map((entry) => entry.body)).toEqual([{ finding: "tank_fire" }]);
  });

  it("work with no blade at all, and end with the all-clear", async () => {
    expect(await startPeople("hurt")).toBeNull();
    await allClear();
    expect(people.value).toBeNull();
  });
});

describe("an alarm that was heard", () => {
  it("is silent for its stage, also after a restart", async () => {
    overdue();
    watchClocks();
    await silence();
    watchClocks();
    expect(alarms.value.ringing).toBeNull();
    const row = await world.store.read(["meta"], (tx) => tx.objectStore("meta").get("silenced"));
    expect(row?.value).toEqual(alarms.value.silenced);
  });
});

const lived = (at_ms: number) => ({ app_ms: at_ms, phone_ms: at_ms });

describe("coming back", () => {
  it("after more than two minutes asks for a look back, which one tap ends", async () => {
    await setMeta(world.store, "lived", lived(world.clock.now_ms - 121_000));
    await lookBack();
    expect(away.value).toEqual({ from_ms: world.clock.now_ms - 121_000, to_ms: world.clock.now_ms });
    seen();
    await lookBack();
    expect(away.value).toBeNull();
  });

  it("after less does not", async () => {
    away.value = null;
    await setMeta(world.store, "lived", lived(world.clock.now_ms - 119_000));
    await lookBack();
    expect(away.value).toBeNull();
  });

  it.each([
    [61_000, 61_000],
    [59_000, null],
    [-5_000, null],
  ])("finds the clock %i ms behind this phone's newest entry: %s", async (ahead_ms, back_ms) => {
    const written_ms = world.clock.now_ms + ahead_ms;
    const id = `${idsOf(written_ms)}-7000-8000-000000000001`;
    await writeEntries(world.store, [newEntry({ id, written_ms, device_id: world.app.device_id })]);
    await checkClock();
    expect(health.value.clock_back_ms).toBe(back_ms);
  });

  it("says that the phone's clock is behind the app's, and says no more of it once that is there again", async () => {
    const told = () => notices.value.filter(({ id }) => id === "clock_back").map(({ note }) => note);
    world.clock.phone_ms = world.clock.now_ms - 3_600_000;
    await checkClock();
    expect(told()).toEqual([{ key: "phone.clock_back", facts: { back_min: 60 } }]);
    world.clock.phone_ms = world.clock.now_ms;
    await checkClock();
    expect(told()).toEqual([]);
  });
});

describe("a draft", () => {
  it("survives until it is kept or dropped, and counts as unsaved until then", async () => {
    await saveDraft("straightness:1", { gaps: ["0,3", ""] });
    expect(unsaved.value.has("straightness:1")).toBe(true);
    expect(await loadDraft("straightness:1")).toEqual({ gaps: ["0,3", ""] });
    await dropDraft("straightness:1");
    expect(unsaved.value.size).toBe(0);
    expect(await loadDraft("straightness:1")).toBeUndefined();
  });
});
