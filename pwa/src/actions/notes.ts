import { type Kept, keep } from "./keep.ts";

export function addNote(piece_id: string, text: string): Promise<Kept> {
  return keep([{ log_kind: "piece", log_id: piece_id, kind: "note", body: { text } }]);
}
