import type { PrecacheEntry } from "workbox-precaching/_types.js";
import { cleanupOutdatedCaches } from "workbox-precaching/cleanupOutdatedCaches.js";
import { createCacheKey } from "workbox-precaching/utils/createCacheKey.js";

declare const self: ServiceWorkerGlobalScope & { readonly __WB_MANIFEST: readonly PrecacheEntry[] };

type Facts = Record<string, unknown>;
interface Note {
  key: string;
  facts?: Facts;
}
interface Reminder {
  tag: string; // one banner for a push and this phone's own alarm of the same clock
  clock_id: string;
  piece_id: string;
  piece_tag: string;
  due_ms: number;
  text: Note;
}

type Words = Record<string, string | { one: string; other: string }>;

const MANIFEST = self.__WB_MANIFEST;
const SHELL = "/index.html";
/** The words that the pages show: a push needs a few of them, without a page. */
const WORDS = MANIFEST.find(({ url }) => url.includes("words-en"))?.url ?? "";
/** Exports, photos and the interface's own pages are real answers, never the app shell. */
const SERVERS_OWN = /^\/(api\/|healthz|lan\/)/;

/** Workbox's name and keys: a phone keeps across a new version every file that has not changed. */
const CACHE = `workbox-precache-v2-${self.registration.scope}`;
/** The address of a file, and the key under which this version of it is kept. */
const KEYS = new Map(MANIFEST.map((file) => [createCacheKey(file).url, createCacheKey(file).cacheKey]));

/**
 * One file after another: where the network breaks off, what came is kept and the next try goes on from there. A file
 * that is not what was asked for (a portal's page) ends the try, and the version before it goes on working.
 */
async function install(): Promise<void> {
  const cache = await caches.open(CACHE);
  for (const [url, key] of KEYS) {
    if (await cache.match(key)) continue;
    const answer = await fetch(url, { cache: key === url ? "default" : "reload" });
    if (!answer.ok || answer.redirected) throw new Error(`${answer.status} ${url}`);
    await cache.put(key, answer);
  }
}

/** What no version needs any more goes; other versions' caches go with `cleanupOutdatedCaches`. */
async function tidy(): Promise<void> {
  const cache = await caches.open(CACHE);
  const needed = new Set(KEYS.values());
  const old = (await cache.keys()).filter(({ url }) => !needed.has(url));
  await Promise.all(old.map((request) => cache.delete(request)));
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(tidy()));
cleanupOutdatedCaches();

const keyOf = (url: string): string | undefined => KEYS.get(new URL(url, location.href).href);

/** What is kept, straight out of the cache; a file that the browser lost is asked for again. */
async function reply(request: Request | string): Promise<Response> {
  const key = keyOf(typeof request === "string" ? request : request.url);
  return (key && (await (await caches.open(CACHE)).match(key))) || fetch(request);
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method === "GET" && keyOf(request.url)) event.respondWith(reply(request));
  else if (request.mode === "navigate" && !SERVERS_OWN.test(new URL(request.url).pathname))
    event.respondWith(reply(SHELL));
});

// A new version waits until the page says that no heat, quench or unsaved pad is open.
self.addEventListener("message", (event) => {
  if (event.data === "take-over") event.waitUntil(self.skipWaiting());
});

function sentence(words: Words, { key, facts = {} }: Note): string {
  const entry = words[key];
  if (entry === undefined) return key;
  const text = typeof entry === "string" ? entry : facts.n === 1 ? entry.one : entry.other;
  return text.replace(/\{(\w+)\}/g, (_all, name: string) => shown(words, name, facts[name]));
}

function shown(words: Words, name: string, value: unknown): string {
  if (value !== null && typeof value === "object" && "key" in value) return sentence(words, value as Note);
  if (typeof value !== "number") return String(value ?? "");
  if (name.endsWith("_ms")) return new Date(value).toLocaleTimeString("en", { hour: "2-digit", minute: "2-digit" });
  return name.endsWith("_min") ? `${Math.round(value)} min` : String(Math.round(value));
}

function asPromise<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** Has this phone seen that clock end? A clock whose beginning it does not hold, or has not folded yet, counts as running. */
async function hasEnded({ piece_id, clock_id }: Reminder): Promise<boolean> {
  const opening = indexedDB.open("temperward");
  // Never make the database here: without one this phone knows nothing, and the reminder stands.
  opening.onupgradeneeded = () => opening.transaction?.abort();
  try {
    const db = await asPromise(opening);
    const tx = db.transaction(["entries", "folds"]);
    const entries = tx.objectStore("entries");
    const [begun, count, stored] = await Promise.all([
      asPromise(entries.getKey(clock_id.slice(clock_id.indexOf(":") + 1))),
      asPromise(entries.index("by_log").count(IDBKeyRange.bound([piece_id], [piece_id, []]))),
      asPromise(tx.objectStore("folds").get(piece_id)),
    ]);
    db.close();
    const clocks: { id: string; paused: boolean }[] = stored?.answer?.clocks ?? [];
    return begun !== undefined && stored?.count === count && !clocks.some((one) => one.id === clock_id && !one.paused);
  } catch {
    return false; // The reminder is worth more than the reason why the store could not be read.
  }
}

/** Without its words a reminder still shows, with its blade's name and its key: it is worth more than its wording. */
const pushWords = async (): Promise<Words> => {
  try {
    return ((await (await reply(WORDS)).json()) as { words: Words }).words;
  } catch {
    return {};
  }
};

self.addEventListener("push", (event) => event.waitUntil(showReminder(event.data?.json() as Reminder)));

/** A push has to show something: one whose clock has ended here says so, quietly. A late one says how late. */
async function showReminder(reminder: Reminder): Promise<void> {
  const [ended, words] = await Promise.all([hasEnded(reminder), pushWords()]);
  const late_min = Math.floor((Date.now() - reminder.due_ms) / 60_000);
  const facts: Facts = { ...reminder.text.facts, tag: reminder.piece_tag, late_min };
  const lines = [sentence(words, { key: ended ? "push.done_already" : reminder.text.key, facts })];
  if (!ended && late_min >= 1) lines.push(sentence(words, { key: "push.late", facts }));
  await self.registration.showNotification(reminder.piece_tag || "Temperward", {
    body: lines.join(" "),
    tag: reminder.tag,
    silent: ended,
    requireInteraction: !ended,
    data: { piece_id: reminder.piece_id },
  });
}

self.addEventListener("notificationclick", (event) => {
  event.notification.close();
  const { piece_id } = event.notification.data as Reminder;
  event.waitUntil(self.clients.openWindow(piece_id ? `/#/blade/${piece_id}` : "/"));
});
