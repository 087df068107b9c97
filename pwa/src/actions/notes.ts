import { type Kept, keep } from "./keep.ts";

export function addNote(piece_id: string, text: string): Promise<Kept> {
  return keep([{ log_id: piece_id, kind: "note", body: { text } }]);
}
