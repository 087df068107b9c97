import type { Entry } from "../engine/types.ts";
import { tell } from "../state/moment.ts";
import { callOk } from "../sync/transport.ts";
import { syncNow } from "./sync.ts";

/** Take an entry's words, or a photo, away for good: from the server, and at their next contact from every phone. */
export async function erase({ id, kind, body }: Entry): Promise<void> {
  const wish = kind === "photo" ? { what: "photo", id: body.sha256 } : { what: "entry", id };
  if (await callOk("POST", "/api/erase", wish)) await syncNow();
  else tell({ id: "erase", kind: "warning", note: { key: "phone.not_erased" } });
}
