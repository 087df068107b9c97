import type { Entry } from "../engine/types.ts";

/** What the server sends: an entry with its place in the server's order. */
export type PulledEntry = Entry & { readonly seq: number; readonly received_ms: number };

export const isErased = (entry: Entry): boolean => entry.body.erased === true;

/**
 * The one of two copies of an entry that stays. Entries never change, so the copies agree but for what the server
 * adds, and for an erasure, which always wins.
 */
export function merged(held: Entry | undefined, other: Entry): Entry {
  if (!held || held === other) return other;
  const base = isErased(other) ? other : held;
  const seq = higher(held.seq, other.seq);
  const received_ms = higher(held.received_ms, other.received_ms);
  return {
    ...base,
    ...(seq === undefined ? {} : { seq }),
    ...(received_ms === undefined ? {} : { received_ms }),
  };
}

function higher(a: number | undefined, b: number | undefined): number | undefined {
  if (a === undefined || b === undefined) return a ?? b;
  return Math.max(a, b);
}

/** Set union of two logs, by id. */
export function union(a: readonly Entry[], b: readonly Entry[]): Map<string, Entry> {
  const all = new Map(a.map((entry) => [entry.id, entry]));
  for (const entry of b) all.set(entry.id, merged(all.get(entry.id), entry));
  return all;
}
