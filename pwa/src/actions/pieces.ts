import { ask } from "../engine/client.ts";
import type { Body, Card, CardPictures } from "../engine/types.ts";
import { logIds, readLog } from "../store/entries.ts";
import { newId } from "../store/ids.ts";
import { cardsOf } from "./cards.ts";
import { readyApp } from "./context.ts";
import { type Kept, keep } from "./keep.ts";

export interface NewPiece {
  readonly tag: string;
  readonly name?: string;
  readonly batch?: string;
  readonly letter?: string;
}

/** A new blade, with its card where there is one already: both or none. `Kept.log_id` is the blade. */
export function newPiece(piece: NewPiece, card?: Card): Promise<Kept> {
  const log = { log_id: newId() };
  const made = { ...log, kind: "piece_made", body: { ...piece } };
  return keep(card ? [made, { ...log, kind: "card_made", body: { card } }] : [made]);
}

/** Compute a card. Throws `EngineRefusal` with the field, value and range that it does not take. */
export function askCard(facts: Body): Promise<Card> {
  return ask<Card>("make_card", facts);
}

/** The same facts as pictures and tables: computed beside the card, never kept with it. */
export function askPictures(facts: Body): Promise<CardPictures> {
  return ask<CardPictures>("card_pictures", facts);
}

/** Freeze a card into the blade's log; a changed plan names the one it replaces. */
export function makeCard(piece_id: string, card: Card, replaces?: string): Promise<Kept> {
  const body = replaces ? { card, replaces } : { card };
  return keep([{ log_id: piece_id, kind: "card_made", body }]);
}

/** The facts of the newest card for this steel; null where there was none. Ids begin with their time of making. */
export async function lastFacts(steel: string): Promise<Body | null> {
  const { store } = await readyApp();
  for (const id of (await logIds(store, "piece")).toSorted().toReversed()) {
    const facts = cardsOf(await readLog(store, id)).card?.card.facts;
    if (facts?.steel === steel) return facts;
  }
  return null;
}
