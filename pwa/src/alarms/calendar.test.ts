import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { calendarText, foldLine } from "./calendar.ts";

const octets = (text: string) => new TextEncoder().encode(text).length;
const unfolded = (text: string) => text.replace(/\r\n /g, "");

describe("the calendar file", () => {
  const event = {
    uid: "brittle-1@temperward",
    due_ms: Date.UTC(2026, 2, 29, 0, 30, 15),
    made_ms: Date.UTC(2026, 2, 28, 23, 0),
    title: "QF-103: temper it; now, please",
    text: "Hard since 23:00.\nIn the oven.",
  };

  it("has one alarm for each event, in UTC", () => {
    const lines = unfolded(calendarText([event, { ...event, due_ms: event.due_ms + 1_800_000 }])).split("\r\n");
    expect(lines.filter((line) => line === "BEGIN:VEVENT")).toHaveLength(2);
    expect(lines.filter((line) => line === "BEGIN:VALARM")).toHaveLength(2);
    expect(lines).toContain("DTSTART:20260329T003015Z");
    expect(lines).toContain("DTSTART:20260329T010015Z");
    expect(lines).toContain("DTSTAMP:20260328T230000Z");
    expect(lines).toContain("SUMMARY:QF-103: temper it\\; now\\, please");
    expect(lines).toContain("DESCRIPTION:Hard since 23:00.\\nIn the oven.");
  });

  it("never has a line over 75 octets, nor breaks a letter", () => {
    fc.assert(
      fc.property(fc.string({ unit: "grapheme", maxLength: 300 }), (text) => {
        const line = `SUMMARY:${text.replace(/[\r\n]/g, "")}`;
        const folded = foldLine(line);
        expect(folded.split("\r\n").every((part) => octets(part) <= 75)).toBe(true);
        expect(unfolded(folded)).toBe(line);
      }),
      { numRuns: 60 },
    );
  });
});
