/** How many ids one millisecond has room for: the 12 bits behind the version. */
const ROOM = 0x1000;

let last_ms = 0;
let count = 0;

const hex = (value: number, digits: number): string => value.toString(16).padStart(digits, "0");

/** How every id begins that was made in this millisecond. */
export const idsOf = (at_ms: number): string => hex(at_ms, 12).replace(/^.{8}/, "$&-");

/**
 * A new random id that sorts by its time of making (RFC 9562, version 7): milliseconds, a counter that goes on within
 * one of them and when the clock is set back, then 62 random bits. Their chance comes from `crypto.getRandomValues` on
 * every page, secure or not.
 */
export function newId(): string {
  const [high = 0, low = 0, start = 0] = crypto.getRandomValues(new Uint32Array(3));
  const now_ms = Date.now();
  count = now_ms > last_ms ? start % (ROOM / 2) : count + 1;
  last_ms = Math.max(now_ms, last_ms) + Math.floor(count / ROOM);
  count %= ROOM;
  const chance = hex((high >>> 2) + 0x8000_0000, 8) + hex(low, 8);
  return `${idsOf(last_ms)}-7${hex(count, 3)}-${chance.slice(0, 4)}-${chance.slice(4)}`;
}
