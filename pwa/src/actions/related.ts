import type { Body, LogKind, ThingFold } from "../engine/types.ts";
import { things } from "../state/shop.ts";

/** The kinds of things whose logs a blade's fold may look at. Which one of each goes with the blade, the fold says. */
const LOOKED_AT: readonly LogKind[] = ["bath", "oven", "coupon", "instrument"];

/** Every folded thing of the shop that a blade's fold may look at, by kind. */
export function relatedThings(): { related: Body } {
  const of = (kind: LogKind): readonly ThingFold[] =>
    things
      .peek()
      .filter(({ log_kind }) => log_kind === kind)
      .map(({ fold }) => fold);
  return { related: Object.fromEntries(LOOKED_AT.map((kind) => [kind, of(kind)])) };
}
