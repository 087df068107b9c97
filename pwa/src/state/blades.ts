import { signal } from "@preact/signals";
import type { Card, Entry, FoldAnswer } from "../engine/types.ts";

/** One row of the list of blades: the last stored fold, shown at once, refolded behind. */
export interface BladeRow {
  readonly piece_id: string;
  readonly tag: string;
  readonly fold: FoldAnswer | null;
  /** Entries of this blade that are only on this phone. */
  readonly only_here: number;
}

/** The most urgent first: by danger, then by how long in that state. */
export const blades = signal<readonly BladeRow[]>([]);

/** False until the stored list was read once: an empty list before that means nothing. */
export const bladesRead = signal(false);

export interface FrozenCard {
  readonly entry_id: string;
  readonly card: Card;
}

export interface OpenBlade {
  readonly piece_id: string;
  readonly tag: string;
  /** Null only while the first fold of a new log is on its way. */
  readonly fold: FoldAnswer | null;
  /** In log order; what was withdrawn or corrected is still there (see the fold for which). */
  readonly entries: readonly Entry[];
  readonly card: FrozenCard | null;
  /** Earlier cards, newest first. */
  readonly earlier_cards: readonly FrozenCard[];
  /** Ids of entries that are only on this phone. */
  readonly only_here: ReadonlySet<string>;
  /** True between a kept mark and the fold's answer. */
  readonly folding: boolean;
}

export const openBlade = signal<OpenBlade | null>(null);
