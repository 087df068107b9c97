import { unsaved } from "../state/moment.ts";
import { deleteDraft, getDraft, putDraft } from "../store/drafts.ts";
import { readyApp } from "./context.ts";

/** What is typed and not yet kept survives a killed page. Key: the screen and the blade, e.g. `straightness:<piece id>`. */
export async function saveDraft(key: string, value: unknown): Promise<void> {
  unsaved.value = new Set([...unsaved.peek(), key]);
  const { store, now_ms } = await readyApp();
  await putDraft(store, key, value, now_ms());
}

export async function loadDraft<T>(key: string): Promise<T | undefined> {
  const value = await getDraft<T>((await readyApp()).store, key);
  if (value !== undefined) unsaved.value = new Set([...unsaved.peek(), key]);
  return value;
}

export async function dropDraft(key: string): Promise<void> {
  unsaved.value = new Set([...unsaved.peek()].filter((other) => other !== key));
  await deleteDraft((await readyApp()).store, key);
}
