import type { Store, Transaction } from "../store/db.ts";
import { putMeta } from "../store/meta.ts";

interface Lease {
  readonly tab: string;
  readonly until_ms: number;
}

const LEASE_MS = 45_000;

/** A lost lease costs nothing, so no mark waits until one is on disk. */
function changeLease<T>(
  store: Store,
  change: (tx: Transaction<"readwrite">, lease: Lease | undefined) => Promise<T>,
): Promise<T> {
  return store.write(
    ["meta"],
    async (tx) => change(tx, (await tx.objectStore("meta").get("lease"))?.value as Lease | undefined),
    "relaxed",
  );
}

/**
 * Two tabs share one queue. The lease only spares double work: nothing breaks when both send, because the server
 * keeps each id once; and a dead tab's lease ends by itself, also after a clock was set.
 */
export async function takeLease(store: Store, tab: string, now_ms: number): Promise<boolean> {
  return changeLease(store, async (tx, lease) => {
    const held = lease !== undefined && lease.until_ms > now_ms && lease.until_ms <= now_ms + LEASE_MS;
    if (held && lease.tab !== tab) return false;
    await putMeta(tx, "lease", { tab, until_ms: now_ms + LEASE_MS });
    return true;
  });
}

export async function dropLease(store: Store, tab: string): Promise<void> {
  await changeLease(store, async (tx, lease) => {
    if (lease?.tab === tab) await tx.objectStore("meta").delete("lease");
  });
}
