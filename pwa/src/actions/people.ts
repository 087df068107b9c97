import type { PeopleState } from "../engine/types.ts";
import { blades, openBlade } from "../state/blades.ts";
import { people } from "../state/moment.ts";
import { setMeta } from "../store/meta.ts";
import { theApp } from "./context.ts";
import { type Kept, keep } from "./keep.ts";
import { watchClocks } from "./ring.ts";

const FINDING: Readonly<Record<PeopleState, string>> = { fire: "tank_fire", co: "co_alarm", hurt: "someone_hurt" };

/** The blades that are left where they are: the open one, and each on which a clock runs. */
function leftBehind(): string[] {
  const running = blades.peek().filter((row) => (row.fold?.clocks.length ?? 0) > 0);
  const ids = running.map((row) => row.piece_id);
  const open_id = openBlade.peek()?.piece_id;
  return [...new Set(open_id ? [open_id, ...ids] : ids)];
}

/** FIRE, CO or HURT. The screen changes and every alarm falls silent at once; writing it down comes after. */
export function startPeople(kind: PeopleState): Promise<Kept | null> {
  const { store, now_ms } = theApp();
  people.value = { kind, since_ms: now_ms() };
  watchClocks();
  const kept = setMeta(store, "people", people.peek());
  const ids = leftBehind();
  if (ids.length === 0) return kept.then(() => null);
  const body = { finding: FINDING[kind] };
  return kept.then(() => keep(ids.map((log_id) => ({ log_kind: "piece", log_id, kind: "finding", body }))));
}

/** Everybody is out or looked after: the blades come back as what they are now. */
export async function allClear(): Promise<Kept | null> {
  people.value = null;
  await setMeta(theApp().store, "people", null);
  const ids = blades
    .peek()
    .filter((row) => row.fold?.people != null)
    .map((row) => row.piece_id);
  const kept =
    ids.length === 0
      ? null
      : await keep(ids.map((log_id) => ({ log_kind: "piece", log_id, kind: "mark", body: { mark: "all_clear" } })));
  watchClocks();
  return kept;
}
