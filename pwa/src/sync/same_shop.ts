import type { Store } from "../store/db.ts";
import { PAGE } from "./round.ts";
import { callSync, type Fetch } from "./transport.ts";

/** Does this server's shop hold an entry that we know to be stored? Asked without offering or keeping anything. */
export async function holdsOurs(store: Store, fetching: Fetch): Promise<boolean> {
  const ours = await storedIds(store);
  if (ours.size === 0) return true;
  let since = 0;
  for (;;) {
    const answer = await callSync(fetching, { epoch: null, since, entries: [], want: PAGE, now_ms: Date.now() });
    if (answer.rows.some((row) => ours.has(row.id))) return true;
    if (!answer.more || answer.next_since <= since) return false;
    since = answer.next_since;
  }
}

/** Ids that a server has named: held, and not in the outbox. */
async function storedIds(store: Store): Promise<Set<string>> {
  return store.read(["entries", "outbox"], async (tx) => {
    const [ids, waiting] = await Promise.all([
      tx.objectStore("entries").getAllKeys(),
      tx.objectStore("outbox").getAllKeys(),
    ]);
    const still = new Set(waiting);
    return new Set(ids.filter((id) => !still.has(id)));
  });
}
