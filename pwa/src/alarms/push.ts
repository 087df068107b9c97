import type { PushState } from "../state/alarms.ts";

/** What the server needs to know of a subscription. */
export interface PushTarget {
  readonly endpoint: string;
  readonly keys: { readonly p256dh: string; readonly auth: string };
}

/** What can be said without asking anything: installed first, blocked, possible. */
export function pushPossible(): PushState {
  if ("serviceWorker" in navigator && "PushManager" in globalThis && "Notification" in globalThis)
    return Notification.permission === "denied" ? "blocked" : "off";
  // Phones of one maker offer push only to an app on the home screen.
  const installed = globalThis.matchMedia?.("(display-mode: standalone)").matches;
  return "standalone" in navigator && !installed ? "needs_install" : "unsupported";
}

async function currentSubscription(): Promise<PushSubscription | null> {
  const registration = await navigator.serviceWorker?.getRegistration();
  return (await registration?.pushManager.getSubscription()) ?? null;
}

function bytesOf(base64url: string): Uint8Array<ArrayBuffer> {
  const base64 = base64url.replace(/-/g, "+").replace(/_/g, "/");
  return Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
}

const targetOf = (subscription: PushSubscription): PushTarget => {
  const { endpoint = "", keys = {} } = subscription.toJSON();
  return { endpoint, keys: { p256dh: keys.p256dh ?? "", auth: keys.auth ?? "" } };
};

function sameKey(subscription: PushSubscription, key: Uint8Array): boolean {
  const held = subscription.options.applicationServerKey;
  if (!held) return true;
  const bytes = new Uint8Array(held);
  return bytes.length === key.length && bytes.every((byte, at) => byte === key[at]);
}

/** Subscribe; only ever called from a tap, because the permission is asked here. */
export async function subscribe(public_key: string): Promise<PushTarget | "blocked" | "off" | "failed"> {
  const permission = await Notification.requestPermission();
  if (permission !== "granted") return permission === "denied" ? "blocked" : "off";
  const registration = await navigator.serviceWorker.ready;
  const key = bytesOf(public_key);
  const old = await registration.pushManager.getSubscription();
  if (old && !sameKey(old, key)) await old.unsubscribe();
  try {
    return targetOf(await registration.pushManager.subscribe({ userVisibleOnly: true, applicationServerKey: key }));
  } catch {
    return "failed"; // The browser's own push service is out of reach or will not: nothing is on.
  }
}

/** The subscription as it stands, without asking: the browser may have dropped it since last time. */
export async function subscribed(): Promise<PushTarget | null> {
  if (pushPossible() !== "off" || Notification.permission !== "granted") return null;
  const subscription = await currentSubscription();
  return subscription ? targetOf(subscription) : null;
}

export async function unsubscribe(): Promise<string | null> {
  const subscription = await currentSubscription();
  if (!subscription) return null;
  await subscription.unsubscribe();
  return subscription.endpoint;
}
