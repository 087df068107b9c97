import type { Card, Entry } from "../engine/types.ts";
import type { FrozenCard } from "../state/blades.ts";

/** The card in force and the earlier ones, newest first; a withdrawn card does not count. */
export function cardsOf(entries: readonly Entry[]): { card: FrozenCard | null; earlier_cards: readonly FrozenCard[] } {
  const withdrawn = new Set(entries.filter((entry) => entry.kind === "withdraw").map((entry) => entry.body.entry_id));
  const cards = entries
    .filter((entry) => entry.kind === "card_made" && !withdrawn.has(entry.id))
    .map((entry) => ({ entry_id: entry.id, card: entry.body.card as Card }))
    .reverse();
  const [card = null, ...earlier_cards] = cards;
  return { card, earlier_cards };
}
