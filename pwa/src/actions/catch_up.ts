import { computed, untracked } from "@preact/signals";
import { blades } from "../state/blades.ts";
import { away, dismiss, health, tell } from "../state/moment.ts";
import { newestOwnMs } from "../store/entries.ts";
import { getMeta, noteMeta } from "../store/meta.ts";
import { CLOCK_BACK_MS, type Lived } from "./app_clock.ts";
import { theApp } from "./context.ts";

export const AWAY_MS = 120_000;
const BATTERY_LOW = 0.15;

/** The page is alive and seen: remembered, so that the next start knows for how long it was not. */
export async function stillHere(): Promise<void> {
  const { store, now_ms, phone_ms } = theApp();
  await noteMeta(store, "lived", { app_ms: now_ms(), phone_ms: phone_ms() } satisfies Lived);
}

/** Back after more than two minutes: what ran and what is overdue has to be looked at. */
export async function lookBack(): Promise<void> {
  const { store, now_ms } = theApp();
  const from_ms = (await getMeta<Lived>(store, "lived"))?.app_ms;
  const to_ms = now_ms();
  if (from_ms !== undefined && to_ms - from_ms > AWAY_MS)
    away.value = { from_ms: away.peek()?.from_ms ?? from_ms, to_ms };
  await stillHere();
}

/** The catch-up was looked at. */
export function seen(): void {
  away.value = null;
}

/**
 * A clock behind the app's, or behind what this phone itself has written, was set back: that is certain, so it is said.
 * The app counts on only where it knows by how much.
 */
export async function checkClock(): Promise<void> {
  const { store, device_id, now_ms, phone_ms } = theApp();
  const newest_ms = (await newestOwnMs(store, device_id, phone_ms() + CLOCK_BACK_MS)) ?? 0;
  const owed_ms = now_ms() - phone_ms();
  const back_ms = Math.max(owed_ms, newest_ms - phone_ms());
  const clock_back_ms = back_ms > CLOCK_BACK_MS ? back_ms : null;
  health.value = { ...health.peek(), clock_back_ms };
  if (clock_back_ms === null) return dismiss("clock_back");
  const key = owed_ms > CLOCK_BACK_MS ? "phone.clock_back" : "phone.clock_wrong";
  tell({ id: "clock_back", kind: "warning", note: { key, facts: { back_min: clock_back_ms / 60_000 } } });
}

interface Battery extends EventTarget {
  readonly level: number;
  readonly charging: boolean;
}

/**
 * Where the phone tells its battery: nearly empty while a blade is at work is worth a word, and it is looked at again
 * when work begins, for an empty battery stands still too.
 */
export async function watchBattery(): Promise<void> {
  const asking = (navigator as { getBattery?: () => Promise<Battery> }).getBattery;
  if (!asking) return;
  const battery = await asking.call(navigator);
  const at_work = computed(() => blades.value.some(({ fold }) => fold?.at_work));
  const look = () => {
    health.value = { ...health.peek(), battery: battery.level, charging: battery.charging };
    if (battery.level < BATTERY_LOW && !battery.charging && at_work.peek())
      tell({
        id: "battery",
        kind: "warning",
        note: { key: "phone.battery_low", facts: { left_pct: battery.level * 100 } },
      });
  };
  battery.addEventListener("levelchange", look);
  battery.addEventListener("chargingchange", look);
  at_work.subscribe(() => untracked(look));
}
