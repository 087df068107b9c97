import type { Note } from "../engine/types.ts";
import { blades, openBlade } from "../state/blades.ts";
import { members, NOBODY, person } from "../state/person.ts";
import { type ShopState, shop, things } from "../state/shop.ts";
import { newId } from "../store/ids.ts";
import { getMeta, setMeta } from "../store/meta.ts";
import { countWaiting } from "../store/outbox.ts";
import { wipe } from "../store/wipe.ts";
import { holdsOurs } from "../sync/same_shop.ts";
import { CallFailed, callJson, type Fetch } from "../sync/transport.ts";
import { readyApp, theApp } from "./context.ts";
import { countOutbox } from "./sync.ts";

export type Joined = { readonly joined: true } | { readonly joined: false; readonly note: Note };

interface JoinAnswer {
  readonly role: ShopState["role"];
  readonly shop_name: string;
  readonly zone: string;
}

const fetching: Fetch = (path, init) => fetch(path, init);

function refusal(error: unknown): Joined {
  if (!(error instanceof CallFailed)) throw error;
  if (error.kind === "unreachable") return { joined: false, note: { key: "phone.no_server" } };
  return { joined: false, note: { key: "phone.join_refused", facts: { reason: error.code || String(error.status) } } };
}

async function take(answer: JoinAnswer): Promise<void> {
  const { store, sync } = theApp();
  const before = await getMeta<ShopState>(store, "shop");
  // A phone that was in a shop before must find its own entries there, or it is another shop: then nothing is sent.
  const held = before?.joined === true && !(await holdsOurs(store, fetching));
  shop.value = {
    ...shop.peek(),
    joined: true,
    held,
    role: answer.role,
    name: answer.shop_name,
    zone: answer.zone,
  };
  await setMeta(store, "shop", shop.peek());
  await sync?.syncNow();
  await countOutbox();
}

async function join(path: string, body: object): Promise<Joined> {
  await readyApp();
  try {
    await take(await callJson<JoinAnswer>(fetching, "POST", path, body));
  } catch (error) {
    return refusal(error);
  }
  return shop.peek().held ? { joined: false, note: { key: "phone.other_shop" } } : { joined: true };
}

/** Join a shop by its code; what this phone wrote before goes there too. */
export function joinShop(code: string, device_name: string): Promise<Joined> {
  return join("/api/join", { code, device_name });
}

/** Be the first device of a new server: the code stands on its console. */
export function claimShop(code: string, shop_name: string, zone: string, device_name: string): Promise<Joined> {
  return join("/api/claim", { code, shop_name, zone, device_name });
}

/**
 * Leave this shop's data behind and join another shop. Only when nothing is left only on this phone, or after an
 * export that holds it.
 */
export async function joinAnotherShop(code: string, device_name: string): Promise<Joined> {
  const { store } = theApp();
  const waiting = await countWaiting(store);
  const exported_ms = (await getMeta<number>(store, "exported_ms")) ?? 0;
  const newest_ms = (await getMeta<number>(store, "newest_ms")) ?? 0;
  if (waiting.entries + waiting.photos > 0 && exported_ms < newest_ms)
    return { joined: false, note: { key: "phone.only_here_first", facts: { ...waiting } } };
  const device_id = newId();
  await wipe(store, device_id);
  theApp().device_id = device_id;
  shop.value = { ...shop.peek(), joined: false, held: false, device_id };
  blades.value = [];
  things.value = [];
  members.value = [];
  openBlade.value = null;
  person.value = { ...person.peek(), member_id: NOBODY.member_id };
  return joinShop(code, device_name);
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
