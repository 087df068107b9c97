import type { Store } from "./db.ts";
import { newId } from "./ids.ts";
import { putMeta } from "./meta.ts";

/** A second place that the browser clears or copies on its own terms (local storage). */
export interface Witness {
  get(): string | null;
  set(value: string): void;
}

export interface Identity {
  readonly device_id: string;
  /** `first`: a new phone. `cleared`: one of the two places lost or changed its mark; this is a new device from now on. */
  readonly found: "same" | "first" | "cleared";
}

/**
 * Who is this phone? A cleared store, or one copied from another phone, does not match its witness: it gets a new
 * device id, so that nothing counted per device is ever used twice.
 */
export async function identify(store: Store, witness: Witness): Promise<Identity> {
  const seen = witness.get();
  const known = await knownDevice(store, seen);
  if (known) return { device_id: known, found: "same" };
  const identity = await store.write(["meta"], async (tx): Promise<Identity & { generation: string }> => {
    const meta = tx.objectStore("meta");
    const generation = (await meta.get("generation"))?.value as string | undefined;
    const device_id = (await meta.get("device_id"))?.value as string | undefined;
    // Two tabs may start at once: the first to come here decides.
    if (generation && device_id && witness.get() === generation) return { device_id, generation, found: "same" };
    const fresh = { device_id: newId(), generation: newId() };
    await putMeta(tx, "device_id", fresh.device_id);
    await putMeta(tx, "generation", fresh.generation);
    witness.set(fresh.generation);
    if (seen !== null || generation) await putMeta(tx, "since", 0);
    return { ...fresh, found: seen === null && !generation ? "first" : "cleared" };
  });
  return { device_id: identity.device_id, found: identity.found };
}

/** The usual start: both places agree, and nothing has to be written. */
async function knownDevice(store: Store, seen: string | null): Promise<string | null> {
  if (seen === null) return null;
  const [generation, device_id] = await store.read(["meta"], (tx) =>
    Promise.all([tx.objectStore("meta").get("generation"), tx.objectStore("meta").get("device_id")]),
  );
  return generation?.value === seen ? ((device_id?.value as string | undefined) ?? null) : null;
}
