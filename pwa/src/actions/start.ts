import { computed, effect } from "@preact/signals";
import { ENGINE_VERSION, warmEngine } from "../engine/client.ts";
import type { Note, PeopleState } from "../engine/types.ts";
import { alarms } from "../state/alarms.ts";
import { blades, bladesRead } from "../state/blades.ts";
import { dismiss, health, nowMs, people, tell } from "../state/moment.ts";
import { outbox } from "../state/outbox.ts";
import { deviceSettings, NOBODY, type Person, person } from "../state/person.ts";
import { followRoute, route } from "../state/route.ts";
import { type ShopState, shop } from "../state/shop.ts";
import { Store } from "../store/db.ts";
import { identify, type Witness } from "../store/identity.ts";
import { noteMeta } from "../store/meta.ts";
import { forgetCalendar, recheckPush } from "./alarms.ts";
import { appClock, CLOCK_BACK_MS, type Lived } from "./app_clock.ts";
import { foldWhatTimeChanged, openPiece, readStored, refreshAll, showStored } from "./blades.ts";
import { checkClock, lookBack, stillHere, watchBattery } from "./catch_up.ts";
import { nowReady, theApp, useApp } from "./context.ts";
import { foldChanged, tellNoRoom } from "./folding.ts";
import { sayWith, setAlarms, tickOn, unsilence, watchClocks } from "./ring.ts";
import { wake } from "./shop.ts";
import { countOutbox, startSync } from "./sync.ts";
import { watchForUpdates } from "./update.ts";

export interface StartOptions {
  /** Words for the banner that a hidden page shows. */
  readonly say?: (note: Note) => string;
}

const WITNESS = "temperward.generation";

const localWitness: Witness = {
  get: () => globalThis.localStorage.getItem(WITNESS),
  set: (value) => globalThis.localStorage.setItem(WITNESS, value),
};

const clock = appClock(
  Date.now,
  () => performance.now(),
  () => queueMicrotask(takeBackTime),
);

let reading: Promise<void> | null = null;

/** Open the store and read what the list needs. Called before words and screens are here: neither waits for the other. */
export function begin(): void {
  reading ??= readAll(openApp());
  reading.catch(() => undefined); // start() says it
}

async function readAll(store: Store): Promise<void> {
  // The list is read beside the rest: it is what the start is for.
  const [stored] = await Promise.all([readStored(), recall(store)]);
  dismiss("other_tab");
  nowReady();
  showStored(stored);
}

function openApp(): Store {
  const store = new Store({
    blocked: () => tell({ id: "other_tab", kind: "warning", note: { key: "phone.close_other_tab" } }),
    replaced: () => tell({ id: "replaced", kind: "warning", note: { key: "phone.newer_version_open" } }),
  });
  const channel = typeof BroadcastChannel === "undefined" ? null : new BroadcastChannel("temperward");
  useApp({
    store,
    now_ms: clock.now_ms,
    stamp_ms: clock.stamp_ms,
    phone_ms: Date.now,
    device_id: "",
    engine_version: ENGINE_VERSION,
    sync: null,
    announce: (log_ids) => channel?.postMessage(log_ids),
  });
  channel?.addEventListener("message", ({ data }: MessageEvent<string[]>) => {
    if (data.length > 0) return foldChanged(data);
    globalThis.location.reload(); // the phone has gone over to another shop: what this tab shows is not here any more
  });
  return store;
}

/** Start the app: the stored list first, everything else behind it. */
export async function start({ say }: StartOptions = {}): Promise<void> {
  if (say) sayWith(say);
  globalThis.addEventListener("unhandledrejection", (event) => tellNoRoom(event.reason) && event.preventDefault());
  followRoute();
  begin();
  try {
    await reading;
  } catch (error) {
    const reason = error instanceof Error ? error.name : String(error);
    tell({ id: "no_store", kind: "not_kept", note: { key: "phone.no_store", facts: { reason } } });
    throw error;
  }
  keepPlace(theApp().store);
  keepTime();
  await behindTheList();
}

const META_NAMES = [
  "person",
  "device_settings",
  "shop",
  "people",
  "silenced",
  "calendar",
  "alarm_tests",
  "last_contact",
  "place",
  "lived",
] as const;
type Recalled = Partial<Record<(typeof META_NAMES)[number], unknown>>;

async function recallMeta(store: Store): Promise<Recalled> {
  const rows = await store.read(["meta"], (tx) =>
    Promise.all(META_NAMES.map((name) => tx.objectStore("meta").get(name))),
  );
  return Object.fromEntries(META_NAMES.map((name, at) => [name, rows[at]?.value]));
}

/** What this phone remembers of itself, in one read. */
async function recall(store: Store): Promise<void> {
  const [identity, meta] = await Promise.all([identify(store, localWitness), recallMeta(store)]);
  const app = theApp();
  if (meta.lived) clock.goOn(meta.lived as Lived);
  was_back = isBack();
  tickOn();
  app.device_id = identity.device_id;
  person.value = { ...NOBODY, ...(meta.person as Partial<Person> | undefined) };
  deviceSettings.value = { ...deviceSettings.peek(), ...(meta.device_settings as object | undefined) };
  shop.value = { ...shop.peek(), ...(meta.shop as Partial<ShopState> | undefined), device_id: identity.device_id };
  people.value = (meta.people as { kind: PeopleState; since_ms: number } | null | undefined) ?? null;
  setAlarms({
    silenced: (meta.silenced as string[] | undefined) ?? [],
    calendar: (meta.calendar as Record<string, number> | undefined) ?? {},
    tests: (meta.alarm_tests as typeof alarms.value.tests | undefined) ?? {},
  });
  const contact = meta.last_contact as { at_ms: number; skew_ms: number } | undefined;
  if (contact) outbox.value = { ...outbox.peek(), last_contact_ms: contact.at_ms, skew_ms: contact.skew_ms };
  if (identity.found === "cleared") tell({ id: "cleared", kind: "warning", note: { key: "phone.store_cleared" } });
  const place = meta.place as string | undefined;
  if (place && globalThis.location.hash === "") globalThis.location.replace(place);
}

/** The screen that is open survives a killed page; the blade of the address is the open blade. */
function keepPlace(store: Store): void {
  // A blade whose address was opened before its log had come is opened when it comes.
  const here = computed(() => blades.value.some(({ piece_id }) => piece_id === route.value.id));
  effect(() => {
    const { id } = route.value;
    void noteMeta(store, "place", globalThis.location.hash);
    if (id && (here.value || !bladesRead.value)) void openPiece(id);
  });
}

const HERE_EVERY_MS = 30_000;

const isBack = (): boolean => theApp().now_ms() - theApp().phone_ms() > CLOCK_BACK_MS;
let was_back = false;

/** A step ahead was a mistake: what it made of the blades, and what was said to its alarms, counts no more. */
function takeBackTime(): void {
  void stillHere();
  foldChanged(blades.peek().map(({ piece_id }) => piece_id));
  void unsilence();
}

/** Once a second. A clock set back is told at once, and so is its end. */
function tick(): void {
  const before_ms = nowMs.peek();
  tickOn();
  if (nowMs.peek() - before_ms > CLOCK_BACK_MS) watchClocks(); // their timers counted less than has passed
  const is_back = isBack();
  if (is_back !== was_back) void checkClock();
  if (is_back && !was_back) void forgetCalendar();
  was_back = is_back;
  foldWhatTimeChanged();
}

function keepTime(): void {
  const onSeen = () => {
    const visible = document.visibilityState === "visible";
    setAlarms({ visible });
    if (!visible) return void stillHere();
    tick();
    void lookBack().then(checkClock);
    watchClocks();
    void wake();
  };
  document.addEventListener("visibilitychange", onSeen);
  globalThis.addEventListener("pageshow", onSeen);
  globalThis.addEventListener("online", () => void wake());
  setInterval(() => {
    if (alarms.peek().visible) tick();
  }, 1_000);
  setInterval(() => alarms.peek().visible && void stillHere(), HERE_EVERY_MS);
  effect(() => {
    void blades.value;
    void people.value;
    watchClocks();
  });
}

async function askToKeep(): Promise<void> {
  const persisted = await navigator.storage?.persist?.().catch(() => null);
  health.value = { ...health.peek(), persisted: persisted ?? null };
}

/** Everything that the list of blades does not wait for. */
async function behindTheList(): Promise<void> {
  const app = theApp();
  await lookBack();
  warmEngine();
  await checkClock();
  await countOutbox();
  app.sync = startSync();
  await Promise.all([wake(), refreshAll(), askToKeep(), watchForUpdates(), watchBattery(), recheckPush()]);
}
