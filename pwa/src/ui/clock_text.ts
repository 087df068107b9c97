const HOUR_MS = 3_600_000;

function two(value: number): string {
  return String(value).padStart(2, "0");
}

/** From here on hours, minutes and seconds would read like a time of day. */
const HOURS_ALONE = 2;

/** A duration for the big number: `9:05`, `1:07:40`, from two hours on `9 h 06`. */
export function clockText(duration_ms: number): string {
  const seconds = Math.floor(Math.max(0, duration_ms) / 1000);
  const hours = Math.floor(seconds / 3600);
  const minutes = Math.floor(seconds / 60) % 60;
  if (hours >= HOURS_ALONE) return `${hours} h ${two(minutes)}`;
  return hours > 0 ? `${hours}:${two(minutes)}:${two(seconds % 60)}` : `${minutes}:${two(seconds % 60)}`;
}

/** Time left: seconds are rounded up, so that 0:00 means that it is over; what is over counts on with a plus. */
export function countdownText(left_ms: number): string {
  return left_ms >= 0 ? clockText(Math.ceil(left_ms / 1000) * 1000) : `+${clockText(-left_ms)}`;
}

/** A duration for a row of the list: whole minutes from an hour on. */
export function rowText(duration_ms: number): string {
  const over = duration_ms < 0 ? "+" : "";
  const size_ms = Math.abs(duration_ms);
  if (size_ms < HOUR_MS) return over + clockText(size_ms);
  if (size_ms < 10 * HOUR_MS) return `${over}${Math.floor(size_ms / 60_000)} min`;
  return over + clockText(size_ms);
}

const WIDE = /[mwMW]/;
const NARROW = /[:.,'’ ilI|]/;

/** How many em a text takes in the condensed digits, so that it can be made as wide as the glass. */
export function emsOf(text: string): number {
  let ems = 0;
  for (const sign of text) ems += NARROW.test(sign) ? 0.27 : WIDE.test(sign) ? 0.66 : 0.51;
  return Math.max(1, Math.round(ems * 100) / 100);
}
