import { handOver } from "../alarms/hand_over.ts";
import { alarms } from "../state/alarms.ts";
import { tell } from "../state/moment.ts";
import { outbox, type RefusedEntry } from "../state/outbox.ts";
import { shop } from "../state/shop.ts";
import { replaceEntry } from "../store/entries.ts";
import { newId } from "../store/ids.ts";
import { getMeta, putMeta, setMeta } from "../store/meta.ts";
import { countWaiting, offerAgain, refusedRows } from "../store/outbox.ts";
import type { RefusedPhotos } from "../store/photos.ts";
import { SyncClient } from "../sync/client.ts";
import { type Imported, makeExport, takeImport } from "../sync/export_file.ts";
import { fetching } from "../sync/transport.ts";
import { countPerBlade } from "./blades.ts";
import { theApp } from "./context.ts";
import { foldChanged } from "./folding.ts";

/** Count what is only on this phone, from the store itself and not from any connection. */
export async function countOutbox(): Promise<void> {
  const { store } = theApp();
  const [waiting, refused, refused_photos = {}] = await Promise.all([
    countWaiting(store),
    refusedRows(store),
    getMeta<RefusedPhotos>(store, "photos_refused"),
  ]);
  outbox.value = { ...outbox.peek(), ...waiting, refused, refused_photos };
  await countPerBlade();
}

function contact(server_now_ms: number): void {
  const { store, now_ms } = theApp();
  const at_ms = now_ms();
  outbox.value = { ...outbox.peek(), last_contact_ms: at_ms, skew_ms: server_now_ms - at_ms };
  void setMeta(store, "last_contact", { at_ms, skew_ms: server_now_ms - at_ms });
}

/** A hidden page with nothing to send rests: being seen again starts a round anyway. */
function isWorthIt(): boolean {
  return alarms.peek().visible || outbox.peek().entries + outbox.peek().photos > 0;
}

export function startSync(): SyncClient {
  const { store, now_ms } = theApp();
  return new SyncClient({
    store,
    fetching,
    tab: newId(),
    now_ms,
    chance: () => (crypto.getRandomValues(new Uint32Array(1))[0] ?? 0) / 2 ** 32,
    later: (delay_ms, run) => {
      const timer = setTimeout(() => isWorthIt() && run(), delay_ms);
      return () => clearTimeout(timer);
    },
    is_joined: () => shop.peek().joined,
    on_state: (state, next_try_ms) => {
      outbox.value = { ...outbox.peek(), state, next_try_ms };
    },
    on_contact: contact,
    on_rows: (log_ids) => {
      foldChanged(log_ids);
      theApp().announce([...log_ids]);
    },
    on_sent: countOutbox,
    on_trouble: (error) =>
      tell({ id: "sync", kind: "warning", note: { key: "phone.sync_failed", facts: { reason: String(error) } } }),
  });
}

/** A person asked: try now, whatever the browser says of being online. */
export async function syncNow(): Promise<void> {
  await theApp().sync?.syncNow();
}

/** The server can never take these as they stand: they are entered anew. */
const FOR_GOOD = /^(bad_envelope|other_body)$/;

/** The same words, time and hand, written down by this phone and now. */
async function enterAnew({ entry, reason }: RefusedEntry): Promise<void> {
  const { store, device_id, now_ms } = theApp();
  await replaceEntry(store, entry.id, {
    ...entry,
    id: reason === "other_body" ? newId() : entry.id,
    device_id,
    happened_ms: Math.max(0, Math.round(entry.happened_ms)),
    written_ms: now_ms(),
    at_source: entry.at_source === "live" ? "back_dated" : entry.at_source,
  });
  foldChanged([entry.log_id]);
}

/** What the server refused, an entry by its id or a picture by its hash, is offered to it once more. */
export async function sendAgain(id: string): Promise<void> {
  const refused = outbox.peek().refused.find(({ entry }) => entry.id === id);
  if (refused && FOR_GOOD.test(refused.reason)) await enterAnew(refused);
  else await offerAgain(theApp().store, id);
  await countOutbox();
  await syncNow();
}

/**
 * Everything this phone holds, as one file, handed over to the phone: its share sheet, or a download. It counts as
 * saved when the sheet was not closed, and as long as nothing is written after it was begun.
 */
export async function saveExport(): Promise<boolean> {
  const { store, now_ms } = theApp();
  const at_ms = now_ms();
  await setMeta(store, "exported", false);
  const text = await makeExport(store, at_ms);
  const day = new Date(at_ms).toISOString().slice(0, 10);
  const saved = await handOver(new File([text], `temperward-${day}.json`, { type: "application/json" }));
  if (saved)
    await store.write(["meta"], async (tx) => {
      if (await tx.objectStore("meta").get("exported")) await putMeta(tx, "exported", true);
    });
  return saved;
}

/** Take over what a file of another phone holds. Throws `NotAnExport` for any other file. */
export async function importFile(file: File): Promise<Imported> {
  const { store, now_ms, announce, sync } = theApp();
  const imported = await takeImport(store, await file.text(), now_ms());
  foldChanged(imported.log_ids);
  announce([...imported.log_ids]);
  await countOutbox();
  void sync?.kick();
  return imported;
}

export { NotAnExport } from "../sync/export_file.ts";
