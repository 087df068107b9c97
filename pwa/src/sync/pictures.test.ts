import { describe, expect, it, vi } from "vitest";
import { countWaiting } from "../store/outbox.ts";
import { readPhoto, readSmall, writePhoto } from "../store/photos.ts";
import { freshStore } from "../testing/fresh_store.ts";
import { sha256Of } from "./digest.ts";
import { keepPicture } from "./pictures.ts";

const bytes = new Uint8Array([9, 8, 7]).buffer;
const whole = { bytes, small: new Uint8Array([9]).buffer, now_ms: 1 };

function failing(name: string, error: DOMException): void {
  const put = IDBObjectStore.prototype.put;
  vi.spyOn(IDBObjectStore.prototype, "put").mockImplementation(function (this: IDBObjectStore, value, key) {
    if (this.name === name) throw error;
    return key === undefined ? put.call(this, value) : put.call(this, value, key);
  });
}

describe("a picture that is kept", () => {
  it("is there, with its small copy, when its entry is", async () => {
    const store = freshStore();
    const named = await keepPicture(store, whole, async (sha256) => ({ kept: true, sha256 }));
    expect((await readPhoto(store, named.sha256))?.bytes.byteLength).toBe(3);
    expect((await readSmall(store, named.sha256))?.bytes.byteLength).toBe(1);
  });

  it("is kept though its small copy found no room", async () => {
    const store = freshStore();
    failing("small", new DOMException("full", "QuotaExceededError"));
    expect(await keepPicture(store, whole, async () => ({ kept: true }))).toEqual({ kept: true });
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 1 });
  });

  it("leaves no bytes behind to be sent when its entry was not kept", async () => {
    const store = freshStore();
    expect(await keepPicture(store, whole, async () => ({ kept: false }))).toEqual({ kept: false });
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });

  it("that does not read back as it was written is not said to be kept", async () => {
    const store = freshStore();
    const put = IDBObjectStore.prototype.put;
    vi.spyOn(IDBObjectStore.prototype, "put").mockImplementation(function (this: IDBObjectStore, value, key) {
      if (this.name === "photos") return put.call(this, { ...value, bytes: new Uint8Array([9, 8, 0]).buffer });
      return key === undefined ? put.call(this, value) : put.call(this, value, key);
    });
    const nameIt = vi.fn(async () => ({ kept: true }));
    await expect(keepPicture(store, whole, nameIt)).rejects.toThrow("read back");
    expect(nameIt).not.toHaveBeenCalled();
    expect(await countWaiting(store)).toEqual({ entries: 0, photos: 0 });
  });

  it("that was here before stays, whatever becomes of the second", async () => {
    const store = freshStore();
    const sha256 = await sha256Of(bytes);
    await writePhoto(store, { sha256, bytes, media_type: "image/jpeg", added_ms: 1 });
    await keepPicture(store, whole, async () => ({ kept: false }));
    expect(await readPhoto(store, sha256)).toBeDefined();
  });
});
