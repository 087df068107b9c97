import { describe, expect, it } from "vitest";
import { freshStore } from "../testing/fresh_store.ts";
import { identify, type Witness } from "./identity.ts";
import { getMeta, setMeta } from "./meta.ts";

function witness(first: string | null = null): Witness & { held: string | null } {
  const self = {
    held: first,
    get: () => self.held,
    set: (value: string) => {
      self.held = value;
    },
  };
  return self;
}

describe("who this phone is", () => {
  it("is the same at every start", async () => {
    const [store, outside] = [freshStore(), witness()];
    const first = await identify(store, outside);
    expect(first.found).toBe("first");
    expect(await identify(store, outside)).toEqual({ device_id: first.device_id, found: "same" });
  });

  it("is a new device when its store was cleared", async () => {
    const outside = witness();
    const first = await identify(freshStore(), outside);
    const again = await identify(freshStore(), outside);
    expect(again.found).toBe("cleared");
    expect(again.device_id).not.toBe(first.device_id);
  });

  it("is a new device when only the store came over, and pulls everything again", async () => {
    const store = freshStore();
    const first = await identify(store, witness());
    await setMeta(store, "since", 900);
    const again = await identify(store, witness());
    expect(again.found).toBe("cleared");
    expect(again.device_id).not.toBe(first.device_id);
    expect(await getMeta(store, "since")).toBe(0);
  });
});
