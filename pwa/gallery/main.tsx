import { render } from "preact";
import { alarms } from "../src/state/alarms.ts";
import { blades, bladesRead, openBlade } from "../src/state/blades.ts";
import { away, notices, nowMs, people } from "../src/state/moment.ts";
import { routeFrom, route } from "../src/state/route.ts";
import { App } from "../src/ui/App.tsx";
import { NOW_MS } from "./folds.ts";
import { deviceSettings, NOBODY, person } from "../src/state/person.ts";
import { shop } from "../src/state/shop.ts";
import { shopDevices } from "../src/ui/flow/devices.ts";
import { endForm, formFor } from "../src/ui/flow/form.ts";
import { logPictures } from "../src/ui/flow/log_pictures.ts";
import { cardPreview, newBladeForm } from "../src/ui/flow/new_blade.ts";
import { followLook } from "../src/ui/look.ts";
import type { BatchAnswer, FoldAnswer, Note } from "../src/engine/types.ts";
import { showBatch } from "./batch.ts";
import { open, SCENES, type Scene } from "./scenes.ts";
import "../src/ui/style/style.ts";

/** What the engine folded, written beside the page by tests/journeys/gallery.py. */
interface Answered {
  readonly name: string;
  readonly now_ms: number;
  readonly fold?: FoldAnswer;
  readonly batch?: BatchAnswer;
}
const FOLDED: readonly Answered[] = await (await fetch("folds.json")).json();
const ALL: Record<string, Scene> = { ...SCENES };
for (const { name, now_ms, fold, batch } of FOLDED)
  ALL[name] = {
    route: fold ? `#/blade/${fold.log_id}` : "#/batch",
    set: () => {
      nowMs.value = now_ms;
      if (fold) open(fold, fold.log_id);
      if (batch) showBatch(batch);
    },
  };

/** The fullest that a working screen gets: an alarm, and something to be told. */
const BRITTLE = ALL["says-brittle.oven"] as Scene;
ALL["ringing-told"] = {
  route: BRITTLE.route,
  set: () => {
    BRITTLE.set();
    const text: Note = { key: "fold.clock.brittle.reminder" };
    const clock = { clock_id: "c", piece_id: "p1", tag: "QF-107", kind: "brittle", stage: "hurry" };
    alarms.value = { ...alarms.value, ringing: { ...clock, due_ms: nowMs.value, text } as never };
    notices.value = [
      { id: "clock_back", kind: "warning", note: { key: "phone.clock_back", facts: { back_min: 60 } } },
    ];
  },
};

const ALONE = shop.peek();

/** Show one scene: `#<scene>?theme=night`. */
function show(): void {
  const [name = "", query = ""] = location.hash.slice(1).split("?");
  const theme = new URLSearchParams(query).get("theme") ?? "day";
  person.value = { ...NOBODY, theme: theme === "night" ? "night" : "day" };
  nowMs.value = NOW_MS;
  alarms.value = { ...alarms.value, visible: true, sound_unlocked: true, push: "off" };
  const scene = ALL[name];
  if (!scene) return;
  bladesRead.value = true;
  blades.value = [];
  openBlade.value = null;
  people.value = null;
  away.value = null;
  notices.value = [];
  shopDevices.value = null;
  shop.value = ALONE;
  for (const form of [newBladeForm(), formFor("check:p1:bath_temperature", {})]) endForm(form);
  cardPreview.value = null;
  logPictures.value = null;
  alarms.value = { ...alarms.value, ringing: null };
  deviceSettings.value = { ...deviceSettings.value, touch_off: false, px_per_mm: null, cautions_read: {} };
  scene.set();
  route.value = routeFrom(scene.route);
  render(<App />, document.getElementById("app") as HTMLElement);
}

followLook();
Object.assign(globalThis, { sceneNames: Object.keys(ALL) });
addEventListener("hashchange", show);
show();
