import { describe, expect, it, vi } from "vitest";
import { readLog, writeEntries } from "../store/entries.ts";
import { setMeta } from "../store/meta.ts";
import { countWaiting } from "../store/outbox.ts";
import { readPhoto, writePhoto } from "../store/photos.ts";
import { freshStore, LOG_ID, newEntry } from "../testing/fresh_store.ts";
import { sha256Of } from "./digest.ts";
import { makeExport, NotAnExport, takeImport } from "./export_file.ts";

async function phoneWithPhoto() {
  const store = freshStore();
  await writeEntries(store, [newEntry(), newEntry()]);
  const bytes = new Uint8Array(70_000).map((_none, at) => at % 253).buffer;
  const sha256 = await sha256Of(bytes);
  await writePhoto(store, { sha256, bytes, media_type: "image/jpeg", added_ms: 1 });
  return { store, sha256, bytes };
}

describe("the export file", () => {
  it("carries everything to another phone, once, and it is offered to the server from there", async () => {
    const { store, sha256, bytes } = await phoneWithPhoto();
    const other = freshStore();
    const text = await makeExport(store, 7);
    expect(await takeImport(other, text, 8)).toMatchObject({ entries: 2, had: 0, photos: 1 });
    expect(await takeImport(other, text, 9)).toMatchObject({ entries: 0, had: 2, photos: 0 });
    expect(await readLog(other, LOG_ID)).toEqual(await readLog(store, LOG_ID));
    expect((await readPhoto(other, sha256))?.bytes.byteLength).toBe(bytes.byteLength);
    expect(await countWaiting(other)).toEqual({ entries: 2, photos: 1 });
  });

  it.each([
    ["no JSON", "hello", "not_json"],
    ["another file", '{"format": "other"}', "other_format"],
    ["nothing", "null", "other_format"],
  ])("is told from %s", async (_what, text, why) => {
    await expect(takeImport(freshStore(), text, 1)).rejects.toMatchObject({ why });
  });

  it("gives a full phone the text though there is no room for the pictures, and counts those", async () => {
    const { store } = await phoneWithPhoto();
    const text = await makeExport(store, 1);
    const other = freshStore();
    const put = IDBObjectStore.prototype.put;
    const full = vi.spyOn(IDBObjectStore.prototype, "put").mockImplementation(function (
      this: IDBObjectStore,
      value,
      key,
    ) {
      if (this.name === "photos") throw new DOMException("full", "QuotaExceededError");
      return key === undefined ? put.call(this, value) : put.call(this, value, key);
    });
    expect(await takeImport(other, text, 1)).toMatchObject({ entries: 2, photos: 0, photos_left: 1 });
    full.mockRestore();
    expect(await readLog(other, LOG_ID)).toHaveLength(2);
  });

  it("of another shop is taken only when it is read in once more", async () => {
    const { store } = await phoneWithPhoto();
    await setMeta(store, "shop", { shop_id: "shop-1" });
    const text = await makeExport(store, 1);
    const other = freshStore();
    await setMeta(other, "shop", { shop_id: "shop-2" });
    await expect(takeImport(other, text, 1)).rejects.toMatchObject({ why: "other_shop" });
    expect(await countWaiting(other)).toEqual({ entries: 0, photos: 0 });
    expect(await takeImport(other, text, 2)).toMatchObject({ entries: 2 });
  });

  it("of the same shop is taken at once", async () => {
    const { store } = await phoneWithPhoto();
    const other = freshStore();
    for (const phone of [store, other]) await setMeta(phone, "shop", { shop_id: "shop-1" });
    expect(await takeImport(other, await makeExport(store, 1), 1)).toMatchObject({ entries: 2 });
  });

  it("is refused as a whole when a picture in it is damaged", async () => {
    const { store } = await phoneWithPhoto();
    const file = JSON.parse(await makeExport(store, 1));
    file.photos[0].base64 = btoa("other bytes");
    const other = freshStore();
    await expect(takeImport(other, JSON.stringify(file), 1)).rejects.toBeInstanceOf(NotAnExport);
    expect(await readLog(other, LOG_ID)).toEqual([]);
  });
});
