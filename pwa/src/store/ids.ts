import { v7 } from "uuid";

/** A new random id that sorts by time; its chance comes from `crypto.getRandomValues` on every page, secure or not. */
export const newId = (): string => v7();
