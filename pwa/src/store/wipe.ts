import type { Store } from "./db.ts";
import { newId } from "./ids.ts";
import { putMeta } from "./meta.ts";
import type { StoreName } from "./schema.ts";

const SHOP_STORES: StoreName[] = ["entries", "outbox", "photos", "small", "folds", "drafts", "meta"];
/** What belongs to the phone and not to the shop. */
const STAYS = new Set(["generation", "device_settings", "ballast"]);

/** Empty the phone of one shop's data, in one transaction. The device starts anew, with a new id. */
export async function wipe(store: Store, device_id: string): Promise<void> {
  await store.write(SHOP_STORES, async (tx) => {
    const meta = tx.objectStore("meta");
    const kept = (await meta.getAll()).filter((row) => STAYS.has(row.name));
    await Promise.all(SHOP_STORES.map((name) => tx.objectStore(name).clear()));
    for (const row of kept) await meta.put(row);
    if (kept.every((row) => row.name !== "generation")) await putMeta(tx, "generation", newId());
    await putMeta(tx, "device_id", device_id);
  });
}
