import type { Store } from "./db.ts";
import type { FoldRow } from "./schema.ts";

export async function readFolds(store: Store): Promise<FoldRow[]> {
  return store.read(["folds"], (tx) => tx.objectStore("folds").getAll());
}

export async function readFold(store: Store, log_id: string): Promise<FoldRow | undefined> {
  return store.read(["folds"], (tx) => tx.objectStore("folds").get(log_id));
}

/** Store an answer, unless one with more entries is there already (two tabs fold the same log). */
export async function writeFold(store: Store, row: FoldRow): Promise<void> {
  await store.write(
    ["folds"],
    async (tx) => {
      const held = await tx.objectStore("folds").get(row.log_id);
      if (held && held.engine_version === row.engine_version && held.count > row.count) return;
      await tx.objectStore("folds").put(row);
    },
    "relaxed",
  );
}

/** Is a stored answer still right for this log, engine and moment? */
export function isFresh(
  row: FoldRow | undefined,
  now: { engine_version: string; count: number; last_id: string; now_ms: number },
): boolean {
  return (
    row !== undefined &&
    row.engine_version === now.engine_version &&
    row.count === now.count &&
    row.last_id === now.last_id &&
    !row.changes_at_ms.some((at_ms) => at_ms <= now.now_ms)
  );
}
