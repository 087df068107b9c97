import type { Store } from "./db.ts";

export async function putDraft(store: Store, key: string, value: unknown, now_ms: number): Promise<void> {
  await store.write(["drafts"], async (tx) => {
    await tx.objectStore("drafts").put({ key, value, saved_ms: now_ms });
  });
}

export async function getDraft<T>(store: Store, key: string): Promise<T | undefined> {
  return store.read(["drafts"], async (tx) => (await tx.objectStore("drafts").get(key))?.value as T | undefined);
}

export async function deleteDraft(store: Store, key: string): Promise<void> {
  await store.write(["drafts"], (tx) => tx.objectStore("drafts").delete(key));
}
