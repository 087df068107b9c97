import type { Body } from "../engine/types.ts";
import { type Kept, keep } from "./keep.ts";

/** Something went wrong, says the smith. */
export function makeFinding(piece_id: string, finding: string, body: Body = {}): Promise<Kept> {
  return keep([{ log_id: piece_id, kind: "finding", body: { ...body, finding } }]);
}

export function closeFinding(piece_id: string, entry_id: string, text?: string): Promise<Kept> {
  const body = text ? { entry_id, text } : { entry_id };
  return keep([{ log_id: piece_id, kind: "finding_closed", body }]);
}
