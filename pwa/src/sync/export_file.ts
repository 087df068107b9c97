import type { Entry } from "../engine/types.ts";
import { isQuota, type Store } from "../store/db.ts";
import { allEntries } from "../store/entries.ts";
import { getMeta } from "../store/meta.ts";
import { makingRoom, type NewPhoto, readPhoto, writePhoto } from "../store/photos.ts";
import type { OutboxRow } from "../store/schema.ts";
import { sha256Of } from "./digest.ts";
import { merged } from "./merge.ts";

/** The file that carries what a phone holds to another one, or to safety, with no network. */
export interface ExportFile {
  readonly format: "temperward-export";
  readonly format_version: 1;
  readonly made_ms: number;
  /** The shop whose log it is; missing when the phone had joined none. */
  readonly shop_id?: string | undefined;
  /** Of the entries as they stand in the file: one changed letter is noticed. */
  readonly entries_sha256: string;
  /** Ids that no server has named yet. */
  readonly only_here: readonly string[];
  readonly entries: readonly Entry[];
  readonly photos: readonly { readonly sha256: string; readonly media_type: string; readonly base64: string }[];
}

export class NotAnExport extends Error {
  constructor(readonly why: "not_json" | "other_format" | "broken_entries" | "broken_photo" | "other_shop") {
    super(why);
    this.name = "NotAnExport";
  }
}

const CHUNK = 0x8000;

function toBase64(bytes: ArrayBuffer): string {
  const view = new Uint8Array(bytes);
  let text = "";
  for (let at = 0; at < view.length; at += CHUNK) text += String.fromCharCode(...view.subarray(at, at + CHUNK));
  return btoa(text);
}

function fromBase64(text: string): ArrayBuffer | null {
  try {
    return Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0)).buffer;
  } catch {
    return null;
  }
}

/** The shop whose log this phone holds. */
const shopOf = async (store: Store): Promise<string | undefined> =>
  (await getMeta<{ shop_id: string }>(store, "shop"))?.shop_id;

export async function makeExport(store: Store, now_ms: number): Promise<string> {
  const [entries, shop_id] = await Promise.all([allEntries(store), shopOf(store)]);
  const [rows, photos] = await store.read(["outbox", "photos"], (tx) =>
    Promise.all([tx.objectStore("outbox").getAllKeys(), tx.objectStore("photos").getAll()]),
  );
  const file: ExportFile = {
    format: "temperward-export",
    format_version: 1,
    made_ms: now_ms,
    shop_id: shop_id || undefined,
    only_here: rows,
    entries_sha256: await digestOf(entries),
    entries,
    photos: photos.map((photo) => ({
      sha256: photo.sha256,
      media_type: photo.media_type,
      base64: toBase64(photo.bytes),
    })),
  };
  return JSON.stringify(file);
}

async function digestOf(entries: readonly Entry[]): Promise<string> {
  return sha256Of(new TextEncoder().encode(JSON.stringify(entries)).buffer);
}

function parsed(text: string): ExportFile {
  let file: Partial<ExportFile> | null;
  try {
    file = JSON.parse(text) as Partial<ExportFile> | null;
  } catch {
    throw new NotAnExport("not_json");
  }
  if (file?.format !== "temperward-export" || file.format_version !== 1) throw new NotAnExport("other_format");
  if (!Array.isArray(file.entries) || !Array.isArray(file.photos)) throw new NotAnExport("other_format");
  return file as ExportFile;
}

async function photoRows(file: ExportFile, now_ms: number): Promise<NewPhoto[]> {
  const rows: NewPhoto[] = [];
  for (const { sha256, media_type, base64 } of file.photos) {
    const bytes = fromBase64(base64);
    if (!bytes || (await sha256Of(bytes)) !== sha256) throw new NotAnExport("broken_photo");
    rows.push({ sha256, media_type, bytes, added_ms: now_ms });
  }
  return rows;
}

export interface Imported {
  readonly entries: number;
  readonly had: number;
  readonly photos: number;
  /** Photos that found no room here. */
  readonly photos_left: number;
  readonly log_ids: ReadonlySet<string>;
}

let sure_of = "";

/** What is of another shop goes to this one only when the same file is read in once more. */
async function checkShop(store: Store, { shop_id, entries_sha256 }: ExportFile): Promise<void> {
  const own = await shopOf(store);
  if (!own || !shop_id || own === shop_id || sure_of === entries_sha256) return;
  sure_of = entries_sha256;
  throw new NotAnExport("other_shop");
}

/** Take over what a file holds; what is here already stays. Everything new is offered to the server too. */
export async function takeImport(store: Store, text: string, now_ms: number): Promise<Imported> {
  const file = parsed(text);
  if (file.entries_sha256 !== (await digestOf(file.entries))) throw new NotAnExport("broken_entries");
  const photos = await photoRows(file, now_ms);
  await checkShop(store, file);
  const had = await makingRoom(store, () => takeEntries(store, file.entries, now_ms));
  let [fresh, photos_left] = [0, 0];
  for (const photo of photos) {
    try {
      if (await takePhoto(store, photo)) fresh += 1;
    } catch (error) {
      if (!isQuota(error)) throw error;
      photos_left += 1;
    }
  }
  const log_ids = new Set(file.entries.map((entry) => entry.log_id));
  return { entries: file.entries.length - had, had, photos: fresh, photos_left, log_ids };
}

/** Text first, all of it or none; returns how many entries were here. */
async function takeEntries(store: Store, entries: readonly Entry[], now_ms: number): Promise<number> {
  return store.write(["entries", "outbox", "meta"], async (tx) => {
    let had = 0;
    for (const entry of entries) {
      const held = await tx.objectStore("entries").get(entry.id);
      await tx.objectStore("entries").put(merged(held, entry));
      if (held) had += 1;
      else await tx.objectStore("outbox").put(waitingRow(entry, now_ms));
    }
    await tx.objectStore("meta").delete("exported"); // a file saved before does not hold these
    return had;
  });
}

/** True: it was not here. */
async function takePhoto(store: Store, photo: NewPhoto): Promise<boolean> {
  if (await readPhoto(store, photo.sha256)) return false;
  await writePhoto(store, photo);
  return true;
}

const waitingRow = (entry: Entry, now_ms: number): OutboxRow => ({
  id: entry.id,
  log_id: entry.log_id,
  state: "waiting",
  added_ms: now_ms,
});
