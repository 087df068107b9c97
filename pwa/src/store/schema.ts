import type { DBSchema, IDBPDatabase } from "idb";
import type { Entry, LogKind } from "../engine/types.ts";

export const DATABASE_NAME = "temperward";
export const DATABASE_VERSION = 1;

/** An entry that the server has not named yet; `refused` rows are set aside and block nothing. */
export interface OutboxRow {
  readonly id: string;
  readonly log_id: string;
  readonly state: "waiting" | "refused";
  readonly reason?: string;
  readonly added_ms: number;
}

/** Picture bytes, apart from text. `uploaded` is 0 or 1, because an index cannot hold a boolean. */
export interface PhotoRow {
  readonly sha256: string;
  readonly bytes: ArrayBuffer;
  readonly media_type: string;
  readonly uploaded: 0 | 1;
  readonly added_ms: number;
}

export interface SmallRow {
  readonly sha256: string;
  readonly bytes: ArrayBuffer;
  readonly media_type: string;
}

/** The last answer of the engine for one log: a cache, never synced. */
export interface FoldRow {
  readonly log_id: string;
  readonly log_kind: LogKind;
  readonly engine_version: string;
  readonly count: number;
  readonly last_id: string;
  readonly answer: unknown;
  readonly changes_at_ms: readonly number[];
}

export interface MetaRow {
  readonly name: string;
  readonly value: unknown;
}

export interface DraftRow {
  readonly key: string;
  readonly value: unknown;
  readonly saved_ms: number;
}

/** The stores `entries`, `outbox` and `photos` never change shape: a new need gets a new store. */
export interface Schema extends DBSchema {
  entries: {
    key: string;
    value: Entry;
    indexes: { by_log: [string, number, string]; by_kind: [string, string] };
  };
  outbox: { key: string; value: OutboxRow; indexes: { by_state: string } };
  photos: { key: string; value: PhotoRow; indexes: { by_uploaded: number } };
  small: { key: string; value: SmallRow };
  folds: { key: string; value: FoldRow };
  meta: { key: string; value: MetaRow };
  drafts: { key: string; value: DraftRow };
}

export type StoreName = "entries" | "outbox" | "photos" | "small" | "folds" | "meta" | "drafts";

function firstRelease(db: IDBPDatabase<Schema>): void {
  const entries = db.createObjectStore("entries", { keyPath: "id" });
  entries.createIndex("by_log", ["log_id", "lamport", "id"]);
  entries.createIndex("by_kind", ["log_kind", "log_id"]);
  db.createObjectStore("outbox", { keyPath: "id" }).createIndex("by_state", "state");
  db.createObjectStore("photos", { keyPath: "sha256" }).createIndex("by_uploaded", "uploaded");
  db.createObjectStore("small", { keyPath: "sha256" });
  db.createObjectStore("folds", { keyPath: "log_id" });
  db.createObjectStore("meta", { keyPath: "name" });
  db.createObjectStore("drafts", { keyPath: "key" });
}

/** One step per released version: an upgrade runs those after the one found. */
const UPGRADES: readonly ((db: IDBPDatabase<Schema>) => void)[] = [firstRelease];

export function upgrade(db: IDBPDatabase<Schema>, from_version: number): void {
  for (const step of UPGRADES.slice(from_version)) step(db);
}
