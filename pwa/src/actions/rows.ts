import type { FoldAnswer, LogKind, ThingFold } from "../engine/types.ts";
import { type BladeRow, blades, openBlade } from "../state/blades.ts";
import { members, NOBODY, type Person, person } from "../state/person.ts";
import { things } from "../state/shop.ts";
import { cardsOf } from "./cards.ts";

/** Most urgent first: by danger, then by how long in that state. */
export function byUrgency(a: BladeRow, b: BladeRow): number {
  return (
    (a.fold?.danger ?? Number.MAX_SAFE_INTEGER) - (b.fold?.danger ?? Number.MAX_SAFE_INTEGER) ||
    (a.fold?.state.since_ms ?? 0) - (b.fold?.state.since_ms ?? 0) ||
    (a.piece_id < b.piece_id ? -1 : 1)
  );
}

export function setBladeRows(rows: readonly BladeRow[]): void {
  blades.value = [...rows].sort(byUrgency);
}

/** Put an answer of the engine where the screens look. */
export function showFold(log_kind: LogKind, log_id: string, answer: FoldAnswer | ThingFold): void {
  if (log_kind === "piece") showBlade(log_id, answer as FoldAnswer);
  else if (log_kind === "member") showMember(log_id, answer as ThingFold);
  else
    things.value = [
      ...things.peek().filter((thing) => thing.log_id !== log_id),
      { log_kind, log_id, fold: answer as ThingFold },
    ];
}

function showBlade(piece_id: string, fold: FoldAnswer): void {
  const old = blades.peek().find((row) => row.piece_id === piece_id);
  const row: BladeRow = { piece_id, tag: fold.tag, fold, only_here: old?.only_here ?? 0 };
  setBladeRows([...blades.peek().filter((other) => other.piece_id !== piece_id), row]);
  const open = openBlade.peek();
  if (open?.piece_id === piece_id)
    openBlade.value = { ...open, ...cardsOf(open.entries, fold.card_id), tag: fold.tag, fold, folding: false };
}

function showMember(member_id: string, fold: ThingFold): void {
  const member: Person = { ...NOBODY, ...(fold.facts as Partial<Person>), member_id };
  members.value = [...members.peek().filter((other) => other.member_id !== member_id), member].sort((a, b) =>
    a.name < b.name ? -1 : 1,
  );
  if (person.peek().member_id === member_id) person.value = member;
}
