import "fake-indexeddb/auto";
import type { Entry } from "../engine/types.ts";
import { Store, type StoreEvents } from "../store/db.ts";
import type { NewEntry } from "../store/entries.ts";
import { newId } from "../store/ids.ts";

let count = 0;

/** A store of its own for each test. */
export function freshStore(events?: StoreEvents): Store {
  count += 1;
  return new Store(events, `test-${count}-${Math.floor(performance.now() * 1000)}`);
}

export const LOG_ID = "01935a00-0000-7000-8000-000000000001";

export function newEntry(change: Partial<NewEntry> = {}): NewEntry {
  return {
    id: newId(),
    log_kind: "piece",
    log_id: LOG_ID,
    kind: "note",
    version: 1,
    body: { text: "a note" },
    happened_ms: 1_000_000,
    written_ms: 1_000_000,
    plus_minus_s: 1,
    utc_offset_min: 60,
    zone: "Europe/Berlin",
    at_source: "live",
    device_id: "device-a",
    member_id: "",
    initials: "MO",
    engine_version: "0.1.0",
    ...change,
  };
}

export function placed(change: Partial<Entry> = {}): Entry {
  const { lamport = 1, ...rest } = change;
  return { ...newEntry(rest), ...rest, lamport };
}
