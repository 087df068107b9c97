import type { Note } from "../engine/types.ts";
import { tell } from "../state/moment.ts";
import { isQuota } from "../store/db.ts";
import { readPhoto, readSmall } from "../store/photos.ts";
import { fetchOriginal, keepPicture, MEDIA_TYPE } from "../sync/pictures.ts";
import { fetching } from "../sync/transport.ts";
import { theApp } from "./context.ts";
import { type Kept, keep } from "./keep.ts";
import { LONGEST_PX, SMALL_PX, shrink } from "./shrink.ts";

const NEARLY_FULL_PCT = 90;

export interface PhotoFacts {
  readonly step?: string;
  readonly station_mm?: number;
  /** The entry that the picture belongs to. */
  readonly of?: string;
}

/**
 * A photograph. Everything slow first (resize, encode, hash), then the bytes, then, once they read back as written,
 * the entry that names them. A phone that is full says that the photo was not kept; text is never refused for it.
 */
export async function addPhoto(piece_id: string, picture: Blob | ImageBitmap, facts: PhotoFacts = {}): Promise<Kept> {
  const { store, now_ms } = theApp();
  const taken_ms = now_ms();
  try {
    const { width, height, bytes } = await shrink(picture, LONGEST_PX);
    const small = (await shrink(picture, SMALL_PX)).bytes;
    const kept = await keepPicture(store, { bytes, small, now_ms: taken_ms }, (sha256) => {
      const body = { ...facts, sha256, bytes: bytes.byteLength, width, height, media_type: MEDIA_TYPE, taken_ms };
      return keep([{ log_kind: "piece", log_id: piece_id, kind: "photo", body }]);
    });
    void warnOfFull();
    return kept;
  } catch (error) {
    return photoNotKept(error);
  }
}

/** Said at nine tenths, while there is still room to make room. */
async function warnOfFull(): Promise<void> {
  const { usage = 0, quota = 0 } = (await navigator.storage?.estimate?.()) ?? {};
  const n = Math.round((100 * usage) / quota);
  if (quota > 0 && n >= NEARLY_FULL_PCT)
    tell({ id: "nearly_full", kind: "warning", note: { key: "phone.nearly_full", facts: { n } } });
}

function photoNotKept(error: unknown): Kept {
  const reason = error instanceof Error ? error.message : String(error);
  const note: Note = isQuota(error) ? { key: "phone.photo_full" } : { key: "phone.photo_not_kept", facts: { reason } };
  tell({ id: "photo_not_kept", note, kind: "not_kept" });
  return { kept: false, note };
}

const urls = new Map<string, string>();

function urlOf(key: string, held: { bytes: ArrayBuffer; media_type: string }): string {
  const known = urls.get(key);
  if (known) return known;
  const url = URL.createObjectURL(new Blob([held.bytes], { type: held.media_type }));
  urls.set(key, url);
  return url;
}

/** An address for an `img`; the original is fetched when this phone has only the small copy. Null: not to be had now. */
export async function photoUrl(sha256: string, small = false): Promise<string | null> {
  const { store } = theApp();
  const copy = small
    ? ((await readSmall(store, sha256)) ?? (await readPhoto(store, sha256)))
    : await readPhoto(store, sha256);
  if (copy) return urlOf(`${sha256}:${small}`, copy);
  if (small) return null;
  try {
    await fetchOriginal(store, fetching, sha256);
  } catch {
    return null; // Offline or not there yet: the screen shows the small copy and says so.
  }
  const original = await readPhoto(store, sha256);
  return original ? urlOf(`${sha256}:false`, original) : null;
}
