import { signal } from "@preact/signals";
import { notKept } from "../../actions/keep.ts";
import { CallFailed, type Device, devices, revokeDevice } from "../../actions/shop.ts";
import { importFile, NotAnExport } from "../../actions/sync.ts";
import { tell } from "../../state/moment.ts";
import { howMany } from "../entry_text.ts";

/** The shop's phones, once asked for; null before. */
export const shopDevices = signal<readonly Device[] | null>(null);

function trouble(problem: unknown): void {
  if (problem instanceof CallFailed) tell({ id: "devices", kind: "info", note: { key: "phone.no_server" } });
  else if (problem instanceof NotAnExport)
    tell({ id: "import", kind: "warning", note: { key: `app.sync.bad.${problem.why}` } });
  else notKept(problem);
}

export function readDevices(): void {
  void devices().then((found) => {
    shopDevices.value = found;
  }, trouble);
}

/** A lost phone is put out: from then on the server does not know it. */
export function putOut(device_id: string): void {
  void revokeDevice(device_id).then(readDevices, trouble);
}

/** Take over a file that another phone saved. */
export function takeFile(file: File): void {
  void importFile(file).then(({ entries, photos, photos_left }) => {
    const what = howMany(entries, photos);
    const note = what ? { key: "app.sync.taken", facts: { what } } : { key: "app.sync.taken_none" };
    tell({ id: "import", kind: "info", note });
    if (photos_left > 0) tell({ id: "photo_not_kept", kind: "not_kept", note: { key: "phone.photo_full" } });
  }, trouble);
}
