import { isQuota, type Store } from "../store/db.ts";
import { getMeta, putMeta } from "../store/meta.ts";
import { markUploaded, photosToSend, readPhoto, readSmall, writePhoto, writeSmall } from "../store/photos.ts";
import { bytesOf, CallFailed, call, type Fetch } from "./transport.ts";

const PART_BYTES = 262_144;
const PART_MS = 60_000;

/** A picture is given up only for a word about the picture itself; a request cut on its way says nothing about it. */
const REFUSALS: ReadonlySet<number> = new Set([403, 413, 422]);

/** What became of one upload: `later` leaves it waiting, `refused` sets it aside with a word. */
export type Upload = "whole" | "later" | "refused";

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

/** Send the next part. A server that stands elsewhere says where; one that refuses the picture says so for good. */
async function partFrom(
  fetching: Fetch,
  path: string,
  bytes: ArrayBuffer,
  offset: number,
): Promise<number | "whole" | "refused"> {
  try {
    return await sendPart(fetching, path, bytes, offset);
  } catch (error) {
    if (!(error instanceof CallFailed)) throw error;
    if (REFUSALS.has(error.status)) return "refused";
    if (error.status !== 409) throw error;
    const elsewhere = await offsetAt(fetching, path);
    if (elsewhere === offset) throw error; // It says no at the very place that it names: later, not at once again.
    return elsewhere;
  }
}

/**
 * Send one picture in parts. Between parts `text_waits` is asked: text goes first, always, and the picture goes on
 * later from where it was.
 */
export async function uploadPhoto(
  store: Store,
  fetching: Fetch,
  sha256: string,
  text_waits: () => Promise<boolean>,
): Promise<Upload> {
  const [photo, epoch] = await Promise.all([readPhoto(store, sha256), getMeta<string>(store, "epoch")]);
  if (!photo) return "whole";
  const path = `/api/photos/${sha256}`;
  let at: number | "whole" | "refused" = await offsetAt(fetching, path);
  while (typeof at === "number") {
    if (await text_waits()) return "later";
    at = await partFrom(fetching, path, photo.bytes, at);
  }
  if (at === "whole") await markUploaded(store, sha256, epoch);
  return at;
}

/** Send what pictures there are; a refused one is noted and blocks nothing. Gives false when text came in between. */
export async function sendPictures(
  store: Store,
  fetching: Fetch,
  text_waits: () => Promise<boolean>,
): Promise<boolean> {
  const refused = new Set((await getMeta<string[]>(store, "photos_refused")) ?? []);
  for (const sha256 of await photosToSend(store)) {
    if (refused.has(sha256)) continue;
    const upload = await uploadPhoto(store, fetching, sha256, text_waits);
    if (upload === "later") return false;
    if (upload === "refused") await changeList(store, "photos_refused", (list) => list.add(sha256));
  }
  return true;
}

/** Fetch the small copies of pictures that other phones took. One that is not there yet stays wanted. */
export async function fetchSmallCopies(store: Store, fetching: Fetch): Promise<void> {
  const wanted = (await getMeta<string[]>(store, "small_wanted")) ?? [];
  for (const sha256 of wanted)
    if (await fetchSmall(store, fetching, sha256))
      await changeList(store, "small_wanted", (list) => list.delete(sha256));
}

/** Change a list of hashes as it is now: another tab may have added to it since it was read. */
async function changeList(store: Store, name: string, change: (list: Set<string>) => void): Promise<void> {
  await store.write(["meta"], async (tx) => {
    const list = new Set(((await tx.objectStore("meta").get(name))?.value as string[] | undefined) ?? []);
    change(list);
    await putMeta(tx, name, [...list]);
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
    // Not there yet, or no room for it here: it stays wanted, and holds up nothing.
    if (isQuota(error) || (error instanceof CallFailed && error.kind === "missing")) return false;
    throw error;
  }
}

/** An original, fetched on demand and kept as a copy that may be given up again. */
export async function fetchOriginal(store: Store, fetching: Fetch, sha256: string): Promise<void> {
  const epoch = await getMeta<string>(store, "epoch");
  const reply = await call(fetching, `/api/photos/${sha256}`, {}, PART_MS);
  const media_type = reply.headers.get("Content-Type") ?? "image/jpeg";
  await writePhoto(store, { sha256, bytes: await bytesOf(reply), media_type, added_ms: Date.now() });
  await markUploaded(store, sha256, epoch);
}
