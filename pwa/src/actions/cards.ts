import type { Card, Entry } from "../engine/types.ts";
import type { FrozenCard } from "../state/blades.ts";

/** The card in force and the others, newest first; a withdrawn card does not count. Which one is in force the fold says. */
export function cardsOf(
  entries: readonly Entry[],
  card_id?: string | null,
): { card: FrozenCard | null; earlier_cards: readonly FrozenCard[] } {
  const withdrawn = new Set<unknown>();
  for (const { id, kind, body } of entries.toReversed())
    if (kind === "withdraw" && !withdrawn.has(id)) withdrawn.add(body.entry_id);
  const cards = entries
    .filter((entry) => entry.kind === "card_made" && !withdrawn.has(entry.id))
    .map((entry) => ({ entry_id: entry.id, card: entry.body.card as Card }))
    .reverse();
  const card = cards.find(({ entry_id }) => entry_id === card_id) ?? cards[0] ?? null;
  return { card, earlier_cards: cards.filter((other) => other !== card) };
}
