import { signal } from "@preact/signals";
import { type PhotoFacts, photoUrl } from "../../actions/photos.ts";
import type { Entry } from "../../engine/types.ts";

/** What the next photo is of, by blade: set by whoever opens the camera. */
export const photoFacts = signal<Readonly<Record<string, PhotoFacts>>>({});

/** Object URLs, as they come from the store or the server. */
const photos = signal<Readonly<Record<string, string>>>({});
const asked = new Set<string>();

/** An address for this photo, once there is one: of its small copy, or of the original. */
export function copyOf(sha256: string, small = true): string | undefined {
  const key = `${sha256}${small}`;
  if (!asked.has(key)) {
    asked.add(key);
    void photoUrl(sha256, small).then((url) => {
      if (url) photos.value = { ...photos.value, [key]: url };
    });
  }
  return photos.value[key];
}

export const isPhoto = ({ kind }: Entry): boolean => kind === "photo";
