/** Stands in for the drafts and the engine in the gallery: nothing is stored, nothing is answered. */
/** A release of no engine: what is asked here is never answered. */
export const ENGINE_VERSION = "";

export class EngineRefusal extends Error {}

const never = new Promise<never>(() => undefined);

export function ask(): Promise<never> {
  return never;
}

export function loadDraft(): Promise<undefined> {
  return Promise.resolve(undefined);
}

export function saveDraft(): Promise<void> {
  return Promise.resolve();
}

export function dropDraft(): Promise<void> {
  return Promise.resolve();
}

export const fold = ask;
export const foldOpen = ask;
export const foldAppend = ask;
export const foldAgain = ask;
export const engineVersion = ask;
