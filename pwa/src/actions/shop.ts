import type { Note } from "../engine/types.ts";
import { tell } from "../state/moment.ts";
import { FIRST_SCREEN, go } from "../state/route.ts";
import { type ShopState, shop } from "../state/shop.ts";
import { newId } from "../store/ids.ts";
import { setMeta } from "../store/meta.ts";
import type { Waiting } from "../store/outbox.ts";
import { atStake, wipe } from "../store/wipe.ts";
import { CallFailed, callJson, fetching } from "../sync/transport.ts";
import { forgetPush } from "./alarms.ts";
import { readyApp, theApp } from "./context.ts";
import { countOutbox } from "./sync.ts";

export type Joined = { readonly joined: true } | { readonly joined: false; readonly note: Note };

interface JoinAnswer {
  readonly role: ShopState["role"];
  readonly shop_id: string;
  readonly shop_name: string;
  readonly zone: string;
}

function refusal(error: unknown): Joined {
  if (!(error instanceof CallFailed)) throw error;
  if (error.kind === "unreachable") return { joined: false, note: { key: "phone.no_server" } };
  return { joined: false, note: { key: "phone.join_refused", facts: { reason: error.code || String(error.status) } } };
}

async function remember({ role, shop_id, shop_name: name, zone }: JoinAnswer): Promise<void> {
  shop.value = { ...shop.peek(), joined: true, role, shop_id, name, zone };
  await setMeta(theApp().store, "shop", shop.peek());
}

async function take(answer: JoinAnswer): Promise<void> {
  await remember(answer);
  await theApp().sync?.syncNow();
  await countOutbox();
}

/**
 * A try is worthwhile: for a round of sync, or for a shop. A phone that remembers none may still be signed in to one:
 * its store was cleared, or it was cut off while it joined. Its shop is asked for, and taken up again.
 */
export async function wake(): Promise<void> {
  if (shop.peek().joined) return void theApp().sync?.kick();
  try {
    const me = await callJson<JoinAnswer>(fetching, "GET", "/api/me");
    if (shop.peek().joined) return; // by a code, meanwhile
    tell({ id: "cleared", kind: "info", note: { key: "phone.rejoined", facts: { shop: me.shop_name } } });
    await take(me);
  } catch (error) {
    if (!(error instanceof CallFailed)) throw error; // Signed in nowhere, or not to be asked now.
  }
}

/** The server is told whose log is here: it lets the phone into that shop again, and into no other. */
async function join(path: "/api/join" | "/api/claim", body: object): Promise<Joined> {
  await readyApp();
  if (!shop.peek().joined) await wake();
  try {
    await take(await callJson<JoinAnswer>(fetching, "POST", path, { ...body, shop_id: shop.peek().shop_id }));
    return { joined: true };
  } catch (error) {
    if (!(error instanceof CallFailed) || error.code !== "other_shop") return refusal(error);
  }
  return goOver(path, body);
}

/**
 * Leave this shop's data behind and join another shop: only when nothing is left only on this phone, or after an
 * export that holds it; and not before the other shop has let it in. Every tab starts anew then.
 */
async function goOver(path: string, body: object): Promise<Joined> {
  const { store, announce } = theApp();
  const lost = await atStake(store);
  if (lost) return onlyHere(lost);
  let answer: JoinAnswer;
  try {
    answer = await callJson(fetching, "POST", path, body);
  } catch (error) {
    return refusal(error);
  }
  // Nobody of the shop that is left has to wake this phone. A browser that fails to forget it keeps nobody from going.
  await forgetPush().catch(() => undefined);
  const written = await wipe(store, newId());
  if (written) return onlyHere(written);
  await remember(answer);
  go(FIRST_SCREEN);
  announce([]);
  globalThis.location.reload();
  return { joined: true };
}

const onlyHere = (lost: Waiting): Joined => ({
  joined: false,
  note: { key: "phone.only_here_first", facts: { ...lost } },
});

/** Join a shop by its code: its own again, with all that waits, or another one. */
export function joinShop(code: string, device_name: string): Promise<Joined> {
  return join("/api/join", { code, device_name });
}

/** Be the first device of a new server: the code stands on its console. */
export function claimShop(code: string, shop_name: string, zone: string, device_name: string): Promise<Joined> {
  return join("/api/claim", { code, shop_name, zone, device_name });
}

export interface JoinCode {
  readonly code: string;
  readonly expires_ms: number;
}

/** A code for one more device (owner). Throws `CallFailed`. */
export function makeJoinCode(role: ShopState["role"] = "smith"): Promise<JoinCode> {
  return callJson<JoinCode>(fetching, "POST", "/api/join-codes", { role });
}

export interface Device {
  readonly device_id: string;
  readonly name: string;
  readonly role: ShopState["role"];
  /** When it was put out; null while it is one of the shop. */
  readonly revoked_ms: number | null;
  /** It is this phone. */
  readonly own: boolean;
}

export async function devices(): Promise<readonly Device[]> {
  const [all, me] = await Promise.all([
    callJson<readonly Device[]>(fetching, "GET", "/api/devices"),
    callJson<Device>(fetching, "GET", "/api/me"),
  ]);
  return all.map((one) => ({ ...one, own: one.device_id === me.device_id }));
}

export function revokeDevice(device_id: string): Promise<void> {
  return callJson<void>(fetching, "DELETE", `/api/devices/${encodeURIComponent(device_id)}`);
}

export { CallFailed } from "../sync/transport.ts";
