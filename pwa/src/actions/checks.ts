import type { Body } from "../engine/types.ts";
import { type Kept, keep, type When } from "./keep.ts";

/** A check of the blade: what was looked at and what was found. */
export function makeCheck(piece_id: string, check: string, body: Body, when?: When): Promise<Kept> {
  return keep([{ log_id: piece_id, kind: "check", body: { ...body, check }, when }]);
}
