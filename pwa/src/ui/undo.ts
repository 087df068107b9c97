import { signal } from "@preact/signals";
import { withdrawLast } from "../actions/corrections.ts";
import type { FoldAnswer } from "../engine/types.ts";
import { openBlade } from "../state/blades.ts";
import { shop } from "../state/shop.ts";
import { say } from "./say.ts";

/** The entry of another phone that was asked about: the next press takes it back. */
const asked = signal("");

/** What undo would take back, when another phone wrote it. */
function ofAnother({ undo }: FoldAnswer) {
  if (!undo?.device_id || undo.device_id === shop.value.device_id) return undefined;
  return openBlade.value?.entries.find(({ id }) => id === undo.entry_id);
}

/** One's own entry goes by one press; another phone's names who made it, and is asked about first. */
export function undoLabel(fold: FoldAnswer): string {
  const other = ofAnother(fold);
  if (!other) return say("undo");
  if (asked.value === other.id) return say("undo_sure");
  return other.initials ? say("undo_of", { who: other.initials }) : say("undo_other");
}

export function pressUndo(fold: FoldAnswer): void {
  const other = ofAnother(fold);
  if (other && asked.peek() !== other.id) asked.value = other.id;
  else void withdrawLast(fold.log_id);
}
