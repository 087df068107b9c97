import type { AtSource, Body, Entry, LogKind, Note } from "../engine/types.ts";
import { kept, tell } from "../state/moment.ts";
import { outbox } from "../state/outbox.ts";
import { person } from "../state/person.ts";
import { isQuota } from "../store/db.ts";
import { type NewEntry, writeEntries } from "../store/entries.ts";
import { newId } from "../store/ids.ts";
import { type App, readyApp } from "./context.ts";
import { foldAfter } from "./folding.ts";
import { playTick } from "./ring.ts";
import { countOutbox } from "./sync.ts";

export type Kept =
  | { readonly kept: true; readonly entry_id: string; readonly log_id: string; readonly at_ms: number }
  | { readonly kept: false; readonly note: Note };

/** When something happened, if not just now. */
export interface When {
  readonly happened_ms: number;
  readonly plus_minus_s: number;
  readonly at_source: AtSource;
}

export interface Line {
  /** Of a blade, unless it says of what. */
  readonly log_kind?: LogKind;
  readonly log_id: string;
  readonly kind: string;
  readonly body: Body;
  readonly when?: When | undefined;
}

/** Seconds by which a tap may be off from the moment it marks. */
const LIVE_PLUS_MINUS_S = 1;
/** A round of sync reads and writes the same store: it begins when the fold has answered, as a rule. */
const AFTER_THE_FOLD_MS = 300;

function entryOf(line: Line, app: App, group_id: string | undefined): NewEntry {
  const now_ms = app.stamp_ms();
  const happened_ms = line.when?.happened_ms ?? now_ms;
  const { skew_ms } = outbox.peek();
  return {
    id: newId(),
    log_kind: line.log_kind ?? "piece",
    log_id: line.log_id,
    kind: line.kind,
    version: 1,
    body: line.body,
    happened_ms,
    written_ms: now_ms,
    plus_minus_s: line.when?.plus_minus_s ?? LIVE_PLUS_MINUS_S,
    utc_offset_min: 0 - new Date(happened_ms).getTimezoneOffset(), // never minus zero, which no file carries
    zone: Intl.DateTimeFormat().resolvedOptions().timeZone,
    at_source: line.when?.at_source ?? "live",
    device_id: app.device_id,
    member_id: person.value.member_id,
    initials: person.value.initials,
    engine_version: app.engine_version,
    ...(group_id === undefined ? {} : { group_id }),
    ...(skew_ms === null ? {} : { skew_ms }),
  };
}

/** Keep lines of one act: all of them or none. It counts as kept when the transaction is complete, before any fold. */
export async function keep(lines: readonly Line[]): Promise<Kept> {
  const app = await readyApp();
  const group_id = lines.length > 1 ? newId() : undefined;
  let written: readonly Entry[];
  try {
    written = await writeEntries(
      app.store,
      lines.map((line) => entryOf(line, app, group_id)),
    );
  } catch (error) {
    return notKept(error);
  }
  return acknowledge(app, written);
}

function acknowledge(app: App, written: readonly Entry[]): Kept {
  const first = written[0];
  if (!first) throw new Error("an act without a line");
  const at_ms = app.now_ms();
  kept.value = { entry_id: first.id, log_id: first.log_id, at_ms };
  foldAfter(written);
  playTick();
  app.announce([...new Set(written.map((entry) => entry.log_id))]);
  void countOutbox();
  setTimeout(() => void app.sync?.kick(), AFTER_THE_FOLD_MS);
  return { kept: true, entry_id: first.id, log_id: first.log_id, at_ms };
}

/** The mark stays on the screen as not kept; why is said, and nothing pretends otherwise. */
export function notKept(error: unknown): Kept {
  const reason = error instanceof Error ? error.name : String(error);
  const note: Note = isQuota(error) ? { key: "phone.full" } : { key: "phone.not_kept", facts: { reason } };
  tell({ id: "not_kept", note, kind: "not_kept" });
  return { kept: false, note };
}
