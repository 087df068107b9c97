import type { Action, Body, Note } from "../engine/types.ts";
import { theApp } from "./context.ts";
import { type Kept, keep, type Line, type When } from "./keep.ts";

export interface MarkOptions {
  readonly body?: Body;
  readonly when?: When;
  /** Other blades that the same mark is for: one entry each, in one transaction. */
  readonly also?: readonly string[];
}

/** A mark: something that happened to the blade, kept with one tap. */
export function makeMark(piece_id: string, mark: string, options: MarkOptions = {}): Promise<Kept> {
  return keepForAll(piece_id, "mark", { ...options.body, mark }, options);
}

function keepForAll(piece_id: string, kind: string, body: Body, options: MarkOptions): Promise<Kept> {
  const ids = [piece_id, ...(options.also ?? []).filter((id) => id !== piece_id)];
  return keep(ids.map((log_id) => ({ log_id, kind, body, when: options.when })));
}

const UNDOABLE: Kept = { kept: false, note: { key: "phone.nothing_to_do" } satisfies Note };

/** When something happened that may have been done already: claimed as the engine says, the rest is the uncertainty. */
function meanwhile({ from_ms, claims }: NonNullable<Action["between"]>): When {
  const now_ms = theApp().now_ms();
  const apart_ms = Math.max(0, now_ms - from_ms);
  const happened_ms = claims === "first" ? now_ms - apart_ms : now_ms;
  return { happened_ms, plus_minus_s: apart_ms / 1000, at_source: "back_dated" };
}

/** Do what the engine offers: an entry of its kind. `open` and `override` lead to a screen: they are the screen's to do. */
export function doAction(piece_id: string, action: Action, given: MarkOptions = {}): Promise<Kept> {
  const { do: kind } = action;
  if (kind === "open" || kind === "override" || kind === "none") return Promise.resolve(UNDOABLE);
  const options = action.between ? { when: meanwhile(action.between), ...given } : given;
  const named = kind in action ? { [kind]: action[kind as "mark"] } : {};
  const body = { ...action.body, ...options.body, ...named };
  return keepForAll(piece_id, kind, body, action.also ? { ...options, also: action.also } : options);
}

/** What happened some time ago, as the engine words it. */
export type PastLine = Pick<Line, "kind" | "body"> & When;

/** Lines of the past, all of them or none. */
export function keepLines(piece_id: string, lines: readonly PastLine[]): Promise<Kept> {
  return keep(lines.map(({ kind, body, ...when }) => ({ log_id: piece_id, kind, body, when })));
}
