import { signal } from "@preact/signals";
import type { Entry } from "../engine/types.ts";

export type SyncState = "offline" | "pushing" | "pulling" | "waiting" | "refused" | "signed_out" | "upgrade_needed";

/** An entry that the server would not take: set aside, shown, exportable, and blocking nothing behind it. */
export interface RefusedEntry {
  readonly entry: Entry;
  readonly reason: string;
}

export interface OutboxState {
  /** Entries and photos that are only on this phone, counted from the store itself. */
  readonly entries: number;
  readonly photos: number;
  readonly refused: readonly RefusedEntry[];
  /** Pictures that the server would not take, by hash, and why; they stay here. */
  readonly refused_photos: Readonly<Record<string, string>>;
  readonly state: SyncState;
  readonly last_contact_ms: number | null;
  readonly next_try_ms: number | null;
  /** Server time minus phone time at last contact. */
  readonly skew_ms: number | null;
}

export const outbox = signal<OutboxState>({
  entries: 0,
  photos: 0,
  refused: [],
  refused_photos: {},
  state: "offline",
  last_contact_ms: null,
  next_try_ms: null,
  skew_ms: null,
});
