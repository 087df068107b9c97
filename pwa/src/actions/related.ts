import type { Body, Card, LogKind } from "../engine/types.ts";
import { type Thing, things } from "../state/shop.ts";

/** The things of the shop that a blade's fold may look at: one of each kind. */
const LOOKED_AT: readonly LogKind[] = ["bath", "oven", "coupon"];

/** The one that the card names by its id or its name; where it names none, the only one there is. */
function named(card: Card | null, log_kind: LogKind, all: readonly Thing[]): Thing | undefined {
  const fact = card?.facts[log_kind] as { log_id?: string; name?: string } | null | undefined;
  const of_kind = all.filter((thing) => thing.log_kind === log_kind);
  const found = of_kind.find((thing) => thing.log_id === fact?.log_id || (fact?.name && thing.fold.name === fact.name));
  // A coupon proves its own bar: it counts only when it is named.
  return found ?? (of_kind.length === 1 && log_kind !== "coupon" ? of_kind[0] : undefined);
}

export function relatedTo(card: Card | null): { related: Body } {
  const all = things.peek();
  const pairs = LOOKED_AT.map((kind) => [kind, named(card, kind, all)?.fold] as const);
  return { related: Object.fromEntries(pairs.filter(([, fold]) => fold !== undefined)) };
}
