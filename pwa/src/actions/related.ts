import type { Body } from "../engine/types.ts";
import { things } from "../state/shop.ts";

/** The folded logs that a blade's fold may look at: baths, ovens, coupons, instruments and the shop's limits. */
export function relatedTo(_blade: unknown): { related: Body } {
  const by_kind: Record<string, unknown[]> = {};
  for (const { log_kind, fold } of things.peek()) by_kind[log_kind] = [...(by_kind[log_kind] ?? []), fold];
  return { related: by_kind };
}
