// A phone: the app's own store and sync code in a process that can be killed, told what to do by JSON lines.
// node phone.js FOLDER BASE_URL COOKIE STARTED_MS SPEED
import { readFileSync } from "node:fs";
import { createInterface } from "node:readline";
import { Store } from "../../../pwa/src/store/db.ts";
import { readLog, writeEntries } from "../../../pwa/src/store/entries.ts";
import { newId } from "../../../pwa/src/store/ids.ts";
import { getMeta } from "../../../pwa/src/store/meta.ts";
import { countWaiting, refusedRows } from "../../../pwa/src/store/outbox.ts";
import { SyncClient } from "../../../pwa/src/sync/client.ts";
import { keepPicture } from "../../../pwa/src/sync/pictures.ts";
import { mount } from "./disk.mjs";

const [folder, base_url, cookie, started_ms, speed] = process.argv.slice(2);
const SPEED = Number(speed); // so many of the app's seconds pass in one of ours
const SMALL_BYTES = 64; // what stands for a small copy
const NO_ANSWER_MS = 2_500; // stands for the app's own, longer, limit
const disk = mount(`${folder}/indexeddb`);
let shift_ms = 0;

const say = (line) => process.stdout.write(`${JSON.stringify(line)}\n`);
const now_ms = () => Math.round(Number(started_ms) + (Date.now() - Number(started_ms)) * SPEED) + shift_ms;

const last_calls = []; // how the last few went: what a phone that is stuck has to say for itself

async function fetching(path, init = {}) {
  const { credentials: _credentials, signal, ...rest } = init;
  const began_ms = Date.now();
  const went = (how) => {
    last_calls.push(`${path} ${how} after ${Date.now() - began_ms} ms`);
    last_calls.splice(0, last_calls.length - 5);
  };
  try {
    const reply = await fetch(base_url + path, {
      ...rest,
      headers: { ...rest.headers, cookie },
      signal: AbortSignal.any([signal, AbortSignal.timeout(NO_ANSWER_MS)]),
    });
    went(reply.status);
    return reply;
  } catch (error) {
    went(error?.cause?.code ?? error?.name);
    throw error;
  }
}

/** One open tab: its own connection to the database and its own sync client. */
class Tab {
  store = new Store();
  open = true;
  client = new SyncClient({
    store: this.store,
    fetching: (path, init) => (this.open ? fetching(path, init) : new Promise(() => undefined)),
    tab: newId(),
    now_ms,
    chance: Math.random,
    later: (delay_ms, run) => {
      const timer = setTimeout(() => this.open && run(), delay_ms / SPEED);
      return () => clearTimeout(timer);
    },
    is_joined: () => true,
    on_state: (state) => {
      this.state = state;
    },
    on_contact: () => undefined,
    on_rows: () => undefined,
    on_sent: async () => undefined,
    on_trouble: (error) => {
      if (error?.name !== "QuotaExceededError") say({ trouble: `${error?.stack ?? error}` });
    },
  });

  async close() {
    this.open = false;
    this.client.stop();
    await this.store.close();
  }
}

const tabs = [new Tab()];
const anyTab = () => tabs[Math.floor(Math.random() * tabs.length)];

function entryOf({ log_kind = "piece", log_id, kind, body, happened_ms }) {
  const at_ms = now_ms();
  const at_source = happened_ms === undefined ? "live" : "back_dated";
  const when = { happened_ms: happened_ms ?? at_ms, written_ms: at_ms, at_source };
  return {
    ...{ id: newId(), log_kind, log_id, kind, version: 1, body, ...when },
    ...{ plus_minus_s: 1, utc_offset_min: 60, zone: "Europe/Dublin" },
    ...{ device_id: folder.slice(-60), member_id: "", initials: "MO", engine_version: "0.1.0" },
  };
}

async function write(wishes) {
  const tab = anyTab();
  const placed = await writeEntries(tab.store, wishes.map(entryOf));
  void tab.client.kick();
  return { kept: placed.map((entry) => entry.id) };
}

/** As the app does it, from its own code; only the shrinking is left out, for which Node has no canvas. */
async function photo({ file, log_id, body }) {
  const content = readFileSync(file);
  const bytes = content.buffer.slice(content.byteOffset, content.byteOffset + content.length);
  const whole = { bytes, small: bytes.slice(0, SMALL_BYTES), now_ms: now_ms() };
  return keepPicture(anyTab().store, whole, (sha256) =>
    write([{ log_id, kind: "photo", body: { ...body, sha256, bytes: bytes.byteLength } }]),
  );
}

async function report() {
  const { store } = tabs[0];
  const [entries, waiting, refused, small, photos] = await store.read(["entries", "outbox", "small", "photos"], (tx) =>
    Promise.all([
      tx.objectStore("entries").getAll(),
      tx.objectStore("outbox").index("by_state").count("waiting"),
      tx.objectStore("outbox").index("by_state").count("refused"),
      tx.objectStore("small").getAllKeys(),
      tx.objectStore("photos").getAllKeys(),
    ]),
  );
  const logs = {};
  for (const log_id of new Set(entries.map((entry) => entry.log_id)))
    logs[log_id] = (await readLog(store, log_id)).map((entry) => entry.id);
  return {
    ...{ entries, logs, waiting, refused, small, photos },
    reasons: (await refusedRows(store)).map(({ reason }) => reason),
    only_here: await countWaiting(store),
    small_wanted: (await getMeta(store, "small_wanted")) ?? [],
    photos_refused: (await getMeta(store, "photos_refused")) ?? {},
    epoch: (await getMeta(store, "epoch")) ?? null,
    states: tabs.map((tab) => tab.client.state),
    last_calls,
  };
}

async function openTab() {
  const tab = new Tab();
  tabs.push(tab);
  void tab.client.kick();
}

async function closeTab() {
  if (tabs.length > 1) await tabs.shift().close();
}

const DO = {
  write: ({ entries }) => write(entries),
  photo,
  report,
  open_tab: openTab,
  close_tab: closeTab,
  clock: ({ by_ms }) => {
    shift_ms += by_ms;
  },
  limit: ({ bytes }) => disk.limit(bytes),
  ask_now: () => void anyTab().client.syncNow(),
};

await disk.fill(tabs[0].store);
void tabs[0].client.kick();
say({ ready: true });
for await (const line of createInterface({ input: process.stdin })) {
  const wish = JSON.parse(line);
  // Not awaited: a slow act holds up no other, as on a real page.
  void (async () => DO[wish.do](wish))().then(
    (answer) => say({ n: wish.n, ...answer }),
    (error) => say({ n: wish.n, not_kept: error?.name ?? String(error) }),
  );
}
process.exit(0);
