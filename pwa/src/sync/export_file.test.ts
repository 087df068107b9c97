import { describe, expect, it } from "vitest";
import { readLog, writeEntries } from "../store/entries.ts";
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

  it("is refused as a whole when a picture in it is damaged", async () => {
    const { store } = await phoneWithPhoto();
    const file = JSON.parse(await makeExport(store, 1));
    file.photos[0].base64 = btoa("other bytes");
    const other = freshStore();
    await expect(takeImport(other, JSON.stringify(file), 1)).rejects.toBeInstanceOf(NotAnExport);
    expect(await readLog(other, LOG_ID)).toEqual([]);
  });
});
