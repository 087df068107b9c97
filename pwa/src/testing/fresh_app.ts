import { type App, nowReady, useApp } from "../actions/context.ts";
import { blades, openBlade } from "../state/blades.ts";
import { kept, notices, people } from "../state/moment.ts";
import { person } from "../state/person.ts";
import type { Store } from "../store/db.ts";
import { freshStore } from "./fresh_store.ts";
import { useInProcessWorkers } from "./in_process_worker.ts";

export interface FreshApp {
  readonly store: Store;
  /** The app's clock, and the phone's where that is another. */
  readonly clock: { now_ms: number; phone_ms?: number };
  readonly app: App;
  readonly announced: string[];
}

/** The app below its screens, with an empty store and a clock that the test holds. */
export function freshApp(now_ms = 1_800_000_000_000): FreshApp {
  useInProcessWorkers();
  const clock: FreshApp["clock"] = { now_ms };
  const announced: string[] = [];
  const store = freshStore();
  const app: App = {
    store,
    now_ms: () => clock.now_ms,
    stamp_ms: () => clock.now_ms,
    phone_ms: () => clock.phone_ms ?? clock.now_ms,
    device_id: "01935a00-0000-7000-8000-00000000000d",
    engine_version: "test",
    sync: null,
    announce: (log_ids) => announced.push(...log_ids),
  };
  useApp(app);
  nowReady();
  blades.value = [];
  openBlade.value = null;
  notices.value = [];
  people.value = null;
  kept.value = null;
  person.value = { ...person.peek(), member_id: "", initials: "MO" };
  return { store, clock, app, announced };
}
