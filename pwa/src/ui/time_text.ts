import { shop } from "../state/shop.ts";

function zone(): string | undefined {
  return shop.value.zone || undefined;
}

function format(at_ms: number, options: Intl.DateTimeFormatOptions): string {
  const timeZone = zone();
  return new Intl.DateTimeFormat("en-GB", timeZone ? { ...options, timeZone } : options).format(at_ms);
}

/** A clock time of the shop: `00:10`, or with seconds `00:10:05`. */
export function clockTime(at_ms: number, seconds = false): string {
  return format(at_ms, { hour: "2-digit", minute: "2-digit", ...(seconds ? { second: "2-digit" } : {}) });
}

/** With the zone's letters: in the night the clocks change the same time comes twice. */
export function clockTimeZoned(at_ms: number): string {
  return format(at_ms, { hour: "2-digit", minute: "2-digit", timeZoneName: "short" });
}

export function dayText(at_ms: number): string {
  return format(at_ms, { weekday: "short", day: "numeric", month: "short", year: "numeric" });
}

function secondOfDay(time: string): number {
  const [h = 0, m = 0, s = 0] = time.split(":").map(Number);
  return h * 3600 + m * 60 + s;
}

/** The instant nearest to another at which the shop's clock shows this second of its day, were the clocks never changed. */
function nearest(wanted_s: number, near_ms: number): number {
  const half_s = 43_200;
  const by_s = ((wanted_s - secondOfDay(clockTime(near_ms, true)) + half_s * 3) % (half_s * 2)) - half_s;
  return near_ms - (near_ms % 1000) + by_s * 1000;
}

/** The instant at which the shop's clock last showed this time, looking from a near instant (within half a day). */
export function instantOf(time: string, near_ms: number): number | null {
  if (!/^([01]?\d|2[0-3])(:[0-5]\d){1,2}$/.test(time)) return null;
  const wanted_s = secondOfDay(time);
  return nearest(wanted_s, nearest(wanted_s, near_ms)); // the clocks may have changed on the way there
}
