import type { Body, Entry, Note } from "../engine/types.ts";
import { blades, openBlade } from "../state/blades.ts";
import { readLog } from "../store/entries.ts";
import { theApp } from "./context.ts";
import { type Kept, keep, type When } from "./keep.ts";

const line = (piece_id: string, kind: string, body: Body) => keep([{ log_id: piece_id, kind, body }]);

/** Take an entry back. It stays in the log, struck through; what ties the open blade to another log goes from both. */
export function withdraw(piece_id: string, entry_id: string): Promise<Kept> {
  const entries = openBlade.peek()?.entries ?? [];
  const tie = entries.find(({ id, kind }) => id === entry_id && kind === "same_as")?.group_id;
  const twin = entries.filter(({ id, group_id }) => tie && group_id === tie && id !== entry_id);
  return takeBack([{ log_id: piece_id, id: entry_id }, ...twin]);
}

function takeBack(entries: readonly Pick<Entry, "log_id" | "id">[]): Promise<Kept> {
  return keep(entries.map(({ log_id, id }) => ({ log_id, kind: "withdraw", body: { entry_id: id } })));
}

const NOTHING: Kept = { kept: false, note: { key: "phone.nothing_to_undo" } satisfies Note };

/** Undo, one step per press, as long as the engine offers it. */
export function withdrawLast(piece_id: string): Promise<Kept> {
  const open = openBlade.peek();
  const undo = open?.piece_id === piece_id ? open.fold?.undo : null;
  return undo ? withdraw(piece_id, undo.entry_id) : Promise.resolve(NOTHING);
}

/**
 * The newest mark of its kind that this phone made on these blades is taken back, and with it those of the same act.
 * It is looked up in the logs, so that it is found after a restart too, and whatever was written since.
 */
export async function withdrawTogether(ids: readonly string[], mark: string): Promise<Kept> {
  const { store, device_id } = theApp();
  const gone = new Set(blades.peek().flatMap(({ fold }) => fold?.withdrawn ?? []));
  const made = (await Promise.all(ids.map((id) => readLog(store, id))))
    .flat()
    .filter((entry) => entry.body.mark === mark && entry.device_id === device_id && !gone.has(entry.id))
    .sort((one, other) => (one.id < other.id ? 1 : -1));
  const [last] = made;
  if (!last) return NOTHING;
  return takeBack(made.filter(({ id, group_id }) => id === last.id || (group_id && group_id === last.group_id)));
}

export interface Correction {
  /** The whole new body, if the values were wrong. */
  readonly body?: Body;
  readonly happened_ms?: number;
  readonly plus_minus_s?: number;
  readonly reason?: string;
}

/** A new entry that corrects an old one; the old value stays visible. */
export function correctEntry(piece_id: string, entry_id: string, correction: Correction): Promise<Kept> {
  return line(piece_id, "correct", { entry_id, ...correction });
}

/** It happened at another moment than it was written down. */
export function moveMark(
  piece_id: string,
  entry_id: string,
  when: Pick<When, "happened_ms" | "plus_minus_s">,
): Promise<Kept> {
  const { happened_ms, plus_minus_s } = when;
  return correctEntry(piece_id, entry_id, { happened_ms, plus_minus_s });
}

/** Of several values for one check, this one counts. */
export function chooseValue(piece_id: string, entry_id: string): Promise<Kept> {
  return line(piece_id, "choose", { entry_id });
}
