import type { Store, Transaction } from "./db.ts";
import { newId } from "./ids.ts";
import { putMeta } from "./meta.ts";
import { type Waiting, waitingIn } from "./outbox.ts";
import type { StoreName } from "./schema.ts";

const SHOP_STORES: StoreName[] = ["entries", "outbox", "photos", "small", "folds", "drafts", "meta"];
/** What belongs to the phone and not to the shop. */
const STAYS = new Set(["generation", "device_settings", "ballast"]);

/** What would be lost with this phone's copy: null when all of it is on the server, or in a file saved since. */
async function lostBy(tx: Transaction<"readonly" | "readwrite">): Promise<Waiting | null> {
  const [waiting, exported] = await Promise.all([waitingIn(tx), tx.objectStore("meta").get("exported")]);
  return waiting.entries + waiting.photos > 0 && exported?.value !== true ? waiting : null;
}

export function atStake(store: Store): Promise<Waiting | null> {
  return store.read(["outbox", "photos", "meta"], lostBy);
}

/**
 * Empty the phone of one shop's data, in one transaction. The device starts anew, with a new id. What would be lost is
 * looked at in the same transaction, and then nothing is emptied.
 */
export async function wipe(store: Store, device_id: string): Promise<Waiting | null> {
  return store.write(SHOP_STORES, async (tx) => {
    const lost = await lostBy(tx);
    if (lost) return lost;
    const meta = tx.objectStore("meta");
    const kept = (await meta.getAll()).filter((row) => STAYS.has(row.name));
    await Promise.all(SHOP_STORES.map((name) => tx.objectStore(name).clear()));
    for (const row of kept) await meta.put(row);
    if (kept.every((row) => row.name !== "generation")) await putMeta(tx, "generation", newId());
    await putMeta(tx, "device_id", device_id);
    return null;
  });
}
