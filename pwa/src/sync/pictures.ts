import { isQuota, type Store } from "../store/db.ts";
import { getMeta, putMeta } from "../store/meta.ts";
import {
  dropPhoto,
  markUploaded,
  photosToSend,
  putRefusedPhoto,
  type RefusedPhotos,
  readPhoto,
  readSmall,
  writePhoto,
  writeSmall,
} from "../store/photos.ts";
import { sha256Of } from "./digest.ts";
import { bytesOf, CallFailed, call, type Fetch, isOfItsOwn } from "./transport.ts";

/** What the app makes of every photograph. */
export const MEDIA_TYPE = "image/jpeg";

const PART_BYTES = 262_144;
const PART_MS = 60_000;

/** A picture is given up only for a word about the picture itself; a request cut on its way says nothing about it. */
const REFUSALS: ReadonlySet<number> = new Set([403, 413, 422]);

const offsetOf = (reply: Response): number => Number(reply.headers.get("Upload-Offset") ?? 0);

/** How far the server has it already: an upload goes on from there, on whatever link. */
async function offsetAt(fetching: Fetch, path: string): Promise<number | "whole"> {
  try {
    const reply = await call(fetching, path, { method: "HEAD" });
    return reply.headers.get("Upload-Complete") === "?1" ? "whole" : offsetOf(reply);
  } catch (error) {
    if (error instanceof CallFailed && error.kind === "missing") return 0;
    throw error;
  }
}

async function sendPart(fetching: Fetch, path: string, bytes: ArrayBuffer, offset: number): Promise<number | "whole"> {
  const reply = await call(
    fetching,
    path,
    {
      method: "PUT",
      headers: {
        "Content-Type": "application/octet-stream",
        "Upload-Offset": String(offset),
        "Upload-Length": String(bytes.byteLength),
      },
      body: bytes.slice(offset, offset + PART_BYTES),
    },
    PART_MS,
  );
  if (reply.status === 201) return "whole";
  const reached = offsetOf(reply);
  if (reached <= offset) throw new CallFailed("unreachable", reply.status);
  return reached;
}

/** Send the next part. A server that stands elsewhere says where. */
async function partFrom(fetching: Fetch, path: string, bytes: ArrayBuffer, offset: number): Promise<number | "whole"> {
  try {
    return await sendPart(fetching, path, bytes, offset);
  } catch (error) {
    if (!(error instanceof CallFailed) || error.status !== 409) throw error;
    const elsewhere = await offsetAt(fetching, path);
    if (elsewhere === offset) throw error; // It says no at the very place that it names: later, not at once again.
    return elsewhere;
  }
}

/**
 * Send one picture in parts. Between parts `text_waits` is asked: text goes first, always, and the picture goes on
 * later from where it was: false.
 */
async function uploadPhoto(
  store: Store,
  fetching: Fetch,
  sha256: string,
  text_waits: () => Promise<boolean>,
): Promise<boolean> {
  const [photo, epoch] = await Promise.all([readPhoto(store, sha256), getMeta<string>(store, "epoch")]);
  if (!photo) return true;
  const path = `/api/photos/${sha256}`;
  let at = await offsetAt(fetching, path);
  while (at !== "whole") {
    if (await text_waits()) return false;
    at = await partFrom(fetching, path, photo.bytes, at);
  }
  await markUploaded(store, sha256, epoch);
  return true;
}

/** Is it this picture that will never do? Wrong bytes may have been another phone's part: ours are looked at first. */
async function isRefusal(store: Store, sha256: string, { status, code }: CallFailed): Promise<boolean> {
  if (code !== "wrong_hash") return REFUSALS.has(status);
  const photo = await readPhoto(store, sha256);
  return photo !== undefined && (await sha256Of(photo.bytes)) !== sha256;
}

/** A picture that failed for a reason of its own: refused for good, or missed until the next round. Any other error ends the round. */
async function passOver(store: Store, sha256: string, error: unknown, missed: CallFailed[]): Promise<true> {
  if (!isOfItsOwn(error)) throw error;
  if (await isRefusal(store, sha256, error))
    await store.write(["meta"], (tx) => putRefusedPhoto(tx, sha256, error.code));
  else missed.push(error);
  return true;
}

/**
 * Send what pictures there are. One that is refused is noted, one that failed goes into `missed`: neither blocks the
 * others. Gives false when text came in between.
 */
export async function sendPictures(
  store: Store,
  fetching: Fetch,
  text_waits: () => Promise<boolean>,
  missed: CallFailed[],
): Promise<boolean> {
  const refused = (await getMeta<RefusedPhotos>(store, "photos_refused")) ?? {};
  const pass = (sha256: string) => (error: unknown) => passOver(store, sha256, error, missed);
  for (const sha256 of await photosToSend(store)) {
    if (sha256 in refused) continue;
    if (!(await uploadPhoto(store, fetching, sha256, text_waits).catch(pass(sha256)))) return false;
  }
  return true;
}

/** Fetch the small copies of pictures that other phones took. One that is not there yet stays wanted. */
export async function fetchSmallCopies(store: Store, fetching: Fetch): Promise<void> {
  const wanted = (await getMeta<string[]>(store, "small_wanted")) ?? [];
  for (const sha256 of wanted) if (await fetchSmall(store, fetching, sha256)) await dropWanted(store, sha256);
}

/** The list as it is now: another tab may have added to it since it was read. */
async function dropWanted(store: Store, sha256: string): Promise<void> {
  await store.write(["meta"], async (tx) => {
    const list = ((await tx.objectStore("meta").get("small_wanted"))?.value as string[] | undefined) ?? [];
    await putMeta(
      tx,
      "small_wanted",
      list.filter((one) => one !== sha256),
    );
  });
}

async function fetchSmall(store: Store, fetching: Fetch, sha256: string): Promise<boolean> {
  if ((await readSmall(store, sha256)) || (await readPhoto(store, sha256))) return true;
  try {
    const reply = await call(fetching, `/api/photos/${sha256}?small=1`);
    const media_type = reply.headers.get("Content-Type") ?? "image/jpeg";
    await writeSmall(store, { sha256, bytes: await bytesOf(reply), media_type });
    return true;
  } catch (error) {
    // Not there yet, or never to be had, or no room for it here: it stays wanted, and holds up nothing.
    if (isQuota(error) || isOfItsOwn(error)) return false;
    throw error;
  }
}

/**
 * Keep a picture's bytes and, once they read back as written, the entry that names them: without it they go again. The
 * small copy may find no room then: the whole stands in for it.
 */
export async function keepPicture<T extends { readonly kept: boolean }>(
  store: Store,
  { bytes, small, now_ms }: { bytes: ArrayBuffer; small: ArrayBuffer; now_ms: number },
  nameIt: (sha256: string) => Promise<T>,
): Promise<T> {
  const sha256 = await sha256Of(bytes);
  const before = await readPhoto(store, sha256);
  let named: T | undefined;
  try {
    await writePhoto(store, { sha256, bytes, media_type: MEDIA_TYPE, added_ms: now_ms });
    const back = await readPhoto(store, sha256);
    if (!back || (await sha256Of(back.bytes)) !== sha256) throw new Error("the bytes did not read back as written");
    named = await nameIt(sha256);
  } finally {
    if (!named?.kept && !before) await dropPhoto(store, sha256);
  }
  if (named.kept) await writeSmall(store, { sha256, bytes: small, media_type: MEDIA_TYPE }).catch(() => undefined);
  return named;
}

/** An original, fetched on demand and kept as a copy that may be given up again. */
export async function fetchOriginal(store: Store, fetching: Fetch, sha256: string): Promise<void> {
  const epoch = await getMeta<string>(store, "epoch");
  const reply = await call(fetching, `/api/photos/${sha256}`, {}, PART_MS);
  const media_type = reply.headers.get("Content-Type") ?? "image/jpeg";
  await writePhoto(store, { sha256, bytes: await bytesOf(reply), media_type, added_ms: Date.now() });
  await markUploaded(store, sha256, epoch);
}
