import { isQuota, type Store, type Transaction } from "./db.ts";
import { putMeta } from "./meta.ts";
import type { PhotoRow, SmallRow } from "./schema.ts";

/** Bytes held back so that text still fits when the phone is full. */
const BALLAST_BYTES = 524_288;

/** Why the server would not take a picture, by its hash; those that it was offered again are off the list. */
export type RefusedPhotos = Readonly<Record<string, string>>;

/** Note why a picture was refused; null: it is to be offered again. */
export async function putRefusedPhoto(tx: Transaction<"readwrite">, sha256: string, why: string | null): Promise<void> {
  const { [sha256]: _before, ...rest } = ((await tx.objectStore("meta").get("photos_refused"))?.value ??
    {}) as RefusedPhotos;
  await putMeta(tx, "photos_refused", why === null ? rest : { ...rest, [sha256]: why });
}

export type NewPhoto = Omit<PhotoRow, "uploaded">;

/** Keep picture bytes. A full phone first gives up copies that the server has. */
export async function writePhoto(store: Store, photo: NewPhoto): Promise<void> {
  const attempt = () =>
    store.write(["photos", "meta"], async (tx) => {
      if (!(await tx.objectStore("meta").getKey("ballast")))
        await tx.objectStore("meta").put({ name: "ballast", value: new ArrayBuffer(BALLAST_BYTES) });
      const known = await tx.objectStore("photos").get(photo.sha256);
      await tx.objectStore("photos").put({ ...photo, uploaded: known?.uploaded ?? 0 });
    });
  try {
    await attempt();
  } catch (error) {
    if (!isQuota(error)) throw error;
    await freeUploaded(store);
    await attempt();
  }
}

export async function readPhoto(store: Store, sha256: string): Promise<PhotoRow | undefined> {
  return store.read(["photos"], (tx) => tx.objectStore("photos").get(sha256));
}

export async function readSmall(store: Store, sha256: string): Promise<SmallRow | undefined> {
  return store.read(["small"], (tx) => tx.objectStore("small").get(sha256));
}

export async function writeSmall(store: Store, small: SmallRow): Promise<void> {
  await store.write(["small"], async (tx) => {
    await tx.objectStore("small").put(small);
  });
}

/** Bytes that no entry came to name. */
export async function dropPhoto(store: Store, sha256: string): Promise<void> {
  await store.write(["photos"], (tx) => tx.objectStore("photos").delete(sha256));
}

/** Hashes of pictures that are only on this phone, oldest first. */
export async function photosToSend(store: Store): Promise<string[]> {
  return store.read(["photos"], (tx) => tx.objectStore("photos").index("by_uploaded").getAllKeys(0));
}

/**
 * The server has this picture, said while its epoch was `epoch`. If the phone has heard since that the server was set
 * back, that word is worth nothing any more: the picture is offered again.
 */
export async function markUploaded(store: Store, sha256: string, epoch: string | undefined): Promise<void> {
  await store.write(["photos", "meta"], async (tx) => {
    if ((await tx.objectStore("meta").get("epoch"))?.value !== epoch) return;
    const photo = await tx.objectStore("photos").get(sha256);
    if (photo) await tx.objectStore("photos").put({ ...photo, uploaded: 1 });
  });
}

/** Give up the copies of pictures that the server has, and want a small one instead; returns how many. */
export async function freeUploaded(store: Store): Promise<number> {
  return store.write(["photos", "small", "meta"], async (tx) => {
    const keys = await tx.objectStore("photos").index("by_uploaded").getAllKeys(1);
    for (const key of keys) await tx.objectStore("photos").delete(key);
    await wantSmall(tx, keys);
    return keys.length;
  });
}

/** Put pictures on the list of those whose small copy is to be fetched, but for those that are here. */
async function wantSmall(tx: Transaction<"readwrite">, keys: readonly string[]): Promise<void> {
  const here = new Set(await tx.objectStore("small").getAllKeys());
  const wanted = ((await tx.objectStore("meta").get("small_wanted"))?.value as string[] | undefined) ?? [];
  const more = keys.filter((key) => !here.has(key) && !wanted.includes(key));
  if (more.length > 0) await putMeta(tx, "small_wanted", [...wanted, ...more]);
}

async function dropBallast(store: Store): Promise<void> {
  await store.write(["meta"], (tx) => tx.objectStore("meta").delete("ballast"));
}

/** Do it; on a full phone give up the copies that the server has, and what is held back for text, and do it again. */
export async function makingRoom<T>(store: Store, attempt: () => Promise<T>): Promise<T> {
  try {
    return await attempt();
  } catch (error) {
    if (!isQuota(error)) throw error;
    await dropBallast(store); // first: even what follows writes a little
    await freeUploaded(store);
    return attempt();
  }
}
