import type { Store, Transaction } from "./db.ts";

export async function getMeta<T>(store: Store, name: string): Promise<T | undefined> {
  return store.read(["meta"], async (tx) => (await tx.objectStore("meta").get(name))?.value as T | undefined);
}

export async function setMeta(store: Store, name: string, value: unknown): Promise<void> {
  await store.write(["meta"], (tx) => putMeta(tx, name, value));
}

/** For what changes often and may be missed: it holds up no mark. */
export async function noteMeta(store: Store, name: string, value: unknown): Promise<void> {
  await store.write(["meta"], (tx) => putMeta(tx, name, value), "relaxed");
}

/** The same inside a transaction that holds `meta`. */
export async function putMeta(tx: Transaction<"readwrite">, name: string, value: unknown): Promise<void> {
  await tx.objectStore("meta").put({ name, value });
}
