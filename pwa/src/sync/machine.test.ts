import { describe, expect, it } from "vitest";
import { EVENTS, next, retryAfterMs, STATES, type SyncEvent, type SyncState } from "./machine.ts";

// Rows: the state before; columns: kick asked pushed written done done_some_refused unreachable unauthorised too_old
const TABLE = `
offline         pushing         pushing  offline         offline         offline         offline         offline         offline         offline
pushing         pushing         pushing  pulling         pushing         waiting         refused         offline         signed_out      upgrade_needed
pulling         pulling         pulling  pulling         pushing         waiting         refused         offline         signed_out      upgrade_needed
waiting         pushing         pushing  waiting         waiting         waiting         waiting         waiting         waiting         waiting
refused         pushing         pushing  refused         refused         refused         refused         refused         refused         refused
signed_out      signed_out      pushing  signed_out      signed_out      signed_out      signed_out      signed_out      signed_out      signed_out
upgrade_needed  upgrade_needed  pushing  upgrade_needed  upgrade_needed  upgrade_needed  upgrade_needed  upgrade_needed  upgrade_needed  upgrade_needed
`;

const cells = TABLE.trim()
  .split("\n")
  .flatMap((line) => {
    const [from, ...to] = line.split(/\s+/);
    return EVENTS.map((event, at): [SyncState, SyncEvent, string] => [from as SyncState, event, to[at] ?? ""]);
  });

describe("the states of this phone as a client", () => {
  it("are all in the table", () => {
    expect(cells).toHaveLength(STATES.length * EVENTS.length);
  });

  it.each(cells)("%s, then %s: %s", (state, event, after) => {
    expect(next(state, event)).toBe(after);
  });
});

describe("the wait before another try", () => {
  it("doubles, is spread, and never exceeds five minutes", () => {
    expect([1, 2, 3].map((failures) => retryAfterMs(failures, 1))).toEqual([2_000, 4_000, 8_000]);
    expect(retryAfterMs(1, 0)).toBe(1_000);
    expect(retryAfterMs(500, 1)).toBe(300_000);
  });
});
