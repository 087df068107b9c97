import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Entry } from "../engine/types.ts";
import { placed } from "../testing/fresh_store.ts";
import { merged, union } from "./merge.ts";

/** Copies of the same few entries as two phones and a server may hold them: same body, more or less of the server's. */
const copies = fc.array(fc.record({ n: fc.integer({ min: 0, max: 5 }), known: fc.boolean(), erased: fc.boolean() }), {
  maxLength: 8,
});

function logOf(drawn: readonly { n: number; known: boolean; erased: boolean }[]): Entry[] {
  const held = new Map<string, Entry>();
  for (const { n, known, erased } of drawn) {
    const entry = placed({
      id: `entry-${n}`,
      lamport: n,
      body: erased ? { erased: true } : { text: `text ${n}` },
      ...(known || erased ? { seq: n * 10, received_ms: n * 1000 } : {}),
    });
    held.set(entry.id, merged(held.get(entry.id), entry));
  }
  return [...held.values()];
}

const listed = (entries: Map<string, Entry>) => [...entries.values()].sort((a, b) => (a.id < b.id ? -1 : 1));

describe("the union of two logs", () => {
  it("is the same whichever comes first", () => {
    fc.assert(
      fc.property(copies, copies, (a, b) => {
        expect(listed(union(logOf(a), logOf(b)))).toEqual(listed(union(logOf(b), logOf(a))));
      }),
    );
  });

  it("is the same however three are put together", () => {
    fc.assert(
      fc.property(copies, copies, copies, (a, b, c) => {
        const left = union([...union(logOf(a), logOf(b)).values()], logOf(c));
        const right = union(logOf(a), [...union(logOf(b), logOf(c)).values()]);
        expect(listed(left)).toEqual(listed(right));
      }),
    );
  });

  it("of a log with itself is the log", () => {
    fc.assert(
      fc.property(copies, (a) => {
        const log = logOf(a);
        expect(listed(union(log, log))).toEqual(listed(new Map(log.map((entry) => [entry.id, entry]))));
      }),
    );
  });

  it("never brings back what was erased", () => {
    const whole = placed({ id: "a" });
    const erased = { ...whole, body: { erased: true }, seq: 4 };
    expect(merged(erased, whole).body).toEqual({ erased: true });
    expect(merged(whole, erased).body).toEqual({ erased: true });
  });
});
