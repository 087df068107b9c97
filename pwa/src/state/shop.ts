import { signal } from "@preact/signals";
import type { LogKind, ThingFold } from "../engine/types.ts";

/** Where this phone stands with a server. The app works before it has joined: then everything is only here. */
export interface ShopState {
  readonly joined: boolean;
  /** The shop whose log is here: nothing goes to another. Empty before the phone has joined. */
  readonly shop_id: string;
  readonly role: "owner" | "smith" | "viewer";
  readonly name: string;
  readonly zone: string;
  readonly device_id: string;
}

export const shop = signal<ShopState>({
  joined: false,
  shop_id: "",
  role: "owner",
  name: "",
  zone: Intl.DateTimeFormat().resolvedOptions().timeZone,
  device_id: "",
});

/** A bath, an oven, an instrument, a bar, a coupon, a customer: the folded facts of its log. */
export interface Thing {
  readonly log_kind: LogKind;
  readonly log_id: string;
  readonly fold: ThingFold;
}

export const things = signal<readonly Thing[]>([]);

export function thingsOf(log_kind: LogKind): readonly Thing[] {
  return things.value.filter((thing) => thing.log_kind === log_kind);
}
