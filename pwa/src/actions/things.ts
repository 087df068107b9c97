import type { Body, LogKind } from "../engine/types.ts";
import { newId } from "../store/ids.ts";
import { type Kept, keep } from "./keep.ts";

/** A bath, an oven, an instrument, a bar, a coupon, a customer. `Kept.log_id` is its id. */
export function newThing(log_kind: LogKind, body: Body): Promise<Kept> {
  return keep([{ log_kind, log_id: newId(), kind: "made", body }]);
}

export function changeThing(log_kind: LogKind, log_id: string, body: Body): Promise<Kept> {
  return keep([{ log_kind, log_id, kind: "changed", body }]);
}

export function checkThing(log_kind: LogKind, log_id: string, check: string, body: Body): Promise<Kept> {
  return keep([{ log_kind, log_id, kind: "check", body: { ...body, check } }]);
}
