import type { PeopleState } from "../engine/types.ts";
import { type BladeRow, blades, openBlade } from "../state/blades.ts";
import { people } from "../state/moment.ts";
import { setMeta } from "../store/meta.ts";
import { theApp } from "./context.ts";
import { type Kept, keep } from "./keep.ts";
import { watchClocks } from "./ring.ts";

const FINDING: Readonly<Record<PeopleState, string>> = { fire: "tank_fire", co: "co_alarm", hurt: "someone_hurt" };

const idsOf = (is: (row: BladeRow) => unknown): readonly string[] =>
  blades
    .peek()
    .filter(is)
    .map(({ piece_id }) => piece_id);

/** The blades that are left where they are: the open one, and each that is at work or on which a clock runs. */
function leftBehind(): readonly string[] {
  const running = idsOf(({ fold }) => fold?.at_work || fold?.clocks.length);
  const open_id = openBlade.peek()?.piece_id;
  return [...new Set(open_id ? [open_id, ...running] : running)];
}

/** The findings on their way into the logs: an all-clear comes after them. */
let writing: Promise<unknown> = Promise.resolve();

/** FIRE, CO or HURT. The screen changes and every alarm falls silent at once; writing it down comes after. */
export function startPeople(kind: PeopleState): Promise<Kept | null> {
  const { store, now_ms } = theApp();
  const left = leftBehind();
  people.value = { kind, since_ms: now_ms(), left };
  watchClocks();
  const body = { finding: FINDING[kind] };
  const written = setMeta(store, "people", people.peek()).then(() =>
    left.length === 0 ? null : keep(left.map((log_id) => ({ log_id, kind: "finding", body }))),
  );
  writing = written.catch(() => undefined);
  return written;
}

/**
 * Everybody is out or looked after: the blades come back as what they are now. Those that were left are known by
 * name, for a fold may still be on its way, and a blade that is forgotten here has no clock any more.
 */
export async function allClear(): Promise<Kept | null> {
  const left = people.peek()?.left ?? [];
  people.value = null;
  await writing;
  const ids = [...new Set([...left, ...idsOf(({ fold }) => fold?.people)])];
  const body = { mark: "all_clear" };
  const kept = ids.length === 0 ? null : await keep(ids.map((log_id) => ({ log_id, kind: "mark", body })));
  await setMeta(theApp().store, "people", null);
  watchClocks();
  return kept;
}
