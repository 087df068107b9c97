/// <reference lib="webworker" />
import { cleanupOutdatedCaches, createHandlerBoundToURL, precacheAndRoute } from "workbox-precaching";
import { NavigationRoute, registerRoute } from "workbox-routing";

declare const self: ServiceWorkerGlobalScope & { __WB_MANIFEST: { url: string; revision: string | null }[] };

type Facts = Record<string, unknown>;
interface Reminder {
  key: string;
  facts?: Facts;
  /** The clock's id: a push and the local alarm of one clock are one banner. */
  tag: string;
  log_id?: string;
  due_ms?: number;
  language?: string;
}

precacheAndRoute(self.__WB_MANIFEST);
cleanupOutdatedCaches();
// Exports, photos and the interface's own pages are real answers, never the app shell.
registerRoute(new NavigationRoute(createHandlerBoundToURL("index.html"), { denylist: [/^\/api\//, /^\/healthz/, /^\/lan\//] }));

// A new version waits until the page says that no heat, quench or unsaved pad is open.
self.addEventListener("message", (event) => {
  if (event.data === "take-over") event.waitUntil(self.skipWaiting());
});

function wordsOf(key: string, facts: Facts, language = "en"): string {
  const entry = __PUSH_WORDS__[language]?.[key] ?? __PUSH_WORDS__.en?.[key];
  if (entry === undefined) return key;
  const text = typeof entry === "string" ? entry : facts.n === 1 ? entry.one : entry.other;
  return text.replace(/\{(\w+)\}/g, (_all, name: string) => shown(name, facts[name], language));
}

function shown(name: string, value: unknown, language: string): string {
  if (value !== null && typeof value === "object" && "key" in value) {
    const note = value as { key: string; facts?: Facts };
    return wordsOf(note.key, note.facts ?? {}, language);
  }
  if (typeof value !== "number") return String(value ?? "");
  if (name.endsWith("_ms")) return new Date(value).toLocaleTimeString(language, { hour: "2-digit", minute: "2-digit" });
  return String(Math.round(value));
}

function asPromise<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** Is that clock still running as far as this phone knows? Unknown counts as running. */
async function stillRuns(reminder: Reminder): Promise<boolean> {
  if (!reminder.log_id) return true;
  const opening = indexedDB.open("temperward");
  // Never make the database here: without one this phone knows nothing, and the reminder stands.
  opening.onupgradeneeded = () => opening.transaction?.abort();
  try {
    const db = await asPromise(opening);
    const stored = await asPromise(db.transaction("folds").objectStore("folds").get(reminder.log_id));
    db.close();
    const clocks: { id: string; paused: boolean }[] | undefined = stored?.answer?.clocks;
    return clocks === undefined || clocks.some((clock) => clock.id === reminder.tag && !clock.paused);
  } catch {
    return true; // The reminder is worth more than the reason why the store could not be read.
  }
}

self.addEventListener("push", (event) => event.waitUntil(showReminder(event.data?.json() as Reminder)));

async function showReminder(reminder: Reminder): Promise<void> {
  const runs = await stillRuns(reminder);
  const facts = { ...reminder.facts, late_min: Math.max(0, (Date.now() - (reminder.due_ms ?? Date.now())) / 60_000) };
  const key = runs ? reminder.key : "push.done_already";
  await self.registration.showNotification(wordsOf("push.title", facts, reminder.language), {
    body: wordsOf(key, facts, reminder.language),
    tag: reminder.tag,
    silent: !runs,
    requireInteraction: runs,
    data: { log_id: reminder.log_id },
  });
}

self.addEventListener("notificationclick", (event) => {
  event.notification.close();
  const { log_id } = event.notification.data as { log_id?: string };
  event.waitUntil(self.clients.openWindow(log_id ? `/#/blade/${log_id}` : "/"));
});
