import { handOver } from "../alarms/hand_over.ts";
import { alarms } from "../state/alarms.ts";
import { tell } from "../state/moment.ts";
import { outbox } from "../state/outbox.ts";
import { shop } from "../state/shop.ts";
import { newId } from "../store/ids.ts";
import { getMeta, setMeta } from "../store/meta.ts";
import { countWaiting, refusedRows } from "../store/outbox.ts";
import { SyncClient } from "../sync/client.ts";
import { type Imported, makeExport, takeImport } from "../sync/export_file.ts";
import { countPerBlade } from "./blades.ts";
import { theApp } from "./context.ts";
import { foldChanged } from "./folding.ts";

/** Count what is only on this phone, from the store itself and not from any connection. */
export async function countOutbox(): Promise<void> {
  const { store } = theApp();
  const [waiting, refused, refused_photos = []] = await Promise.all([
    countWaiting(store),
    refusedRows(store),
    getMeta<string[]>(store, "photos_refused"),
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
    fetching: (path, init) => fetch(path, init),
    tab: newId(),
    now_ms,
    chance: () => (crypto.getRandomValues(new Uint32Array(1))[0] ?? 0) / 2 ** 32,
    later: (delay_ms, run) => {
      const timer = setTimeout(() => isWorthIt() && run(), delay_ms);
      return () => clearTimeout(timer);
    },
    is_joined: () => shop.peek().joined && !shop.peek().held,
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

/** Everything this phone holds, as one file. */
export async function exportFile(): Promise<File> {
  const { store, now_ms } = theApp();
  const at_ms = now_ms();
  const text = await makeExport(store, at_ms);
  await setMeta(store, "exported_ms", at_ms);
  const day = new Date(at_ms).toISOString().slice(0, 10);
  return new File([text], `temperward-${day}.json`, { type: "application/json" });
}

/** Hand the export over to the phone: its share sheet, or a download. */
export async function saveExport(): Promise<boolean> {
  return handOver(await exportFile());
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
