import type { Note } from "../engine/types.ts";
import { openBlade } from "../state/blades.ts";
import { health, unsaved, update } from "../state/moment.ts";

const LOOK_MS = 3_600_000;

let waiting: ServiceWorker | null = null;
let asked = false;

function noteWaiting(registration: ServiceWorkerRegistration): void {
  if (!registration.waiting || !navigator.serviceWorker.controller) return;
  waiting = registration.waiting;
  update.value = { ...update.peek(), waiting: true };
}

/** Register the worker, and look for a new version at each start, each time the page is seen, and every hour. */
export async function watchForUpdates(): Promise<void> {
  const secure = globalThis.isSecureContext;
  health.value = { ...health.peek(), secure };
  update.value = { ...update.peek(), version: __APP_VERSION__ };
  if (!("serviceWorker" in navigator)) return;
  const registration = await navigator.serviceWorker.register("/sw.js", { updateViaCache: "none" });
  noteWaiting(registration);
  registration.addEventListener("updatefound", () => {
    const fresh = registration.installing;
    fresh?.addEventListener("statechange", () => noteWaiting(registration));
  });
  const look = () => void registration.update().catch(() => undefined); // offline: the next look finds it
  setInterval(look, LOOK_MS);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && look());
  navigator.serviceWorker.addEventListener("controllerchange", onControllerChange);
}

function onControllerChange(): void {
  // Another tab took the new version: this one keeps its own until its own safe moment.
  if (asked) globalThis.location.reload();
  else update.value = { ...update.peek(), waiting: true };
}

/** Is a heat, a quench or an unsaved pad open? Then the version stays as it is. */
export function isSafeMoment(): boolean {
  return unsaved.peek().size === 0 && openBlade.peek()?.fold?.at_work !== "hands";
}

/** Take the new version, by one tap, if this is a safe moment; otherwise says why not. */
export function applyUpdate(): Note | null {
  if (!isSafeMoment()) return { key: "phone.update_later" };
  asked = true;
  if (waiting) waiting.postMessage("take-over");
  else globalThis.location.reload();
  return null;
}
