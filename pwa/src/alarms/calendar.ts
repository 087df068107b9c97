/** One event of a calendar file, with one alarm, made with no network (RFC 5545). */
export interface CalendarEvent {
  readonly uid: string;
  readonly due_ms: number;
  readonly made_ms: number;
  readonly title: string;
  readonly text: string;
}

const LINE_OCTETS = 75;
const EVENT_MS = 900_000;
const encoder = new TextEncoder();

const utc = (instant_ms: number): string => new Date(instant_ms).toISOString().replace(/[-:]|\.\d+/g, "");

const escaped = (text: string): string =>
  text.replace(/\\/g, "\\\\").replace(/;/g, "\\;").replace(/,/g, "\\,").replace(/\r?\n/g, "\\n");

/** Fold at 75 octets, never inside a character; a continuation line begins with a space, which counts. */
export function foldLine(line: string): string {
  const lines: string[] = [];
  let part = "";
  let octets = 0;
  for (const letter of line) {
    const size = encoder.encode(letter).length;
    if (octets + size > LINE_OCTETS) {
      lines.push(part);
      part = " ";
      octets = 1;
    }
    part += letter;
    octets += size;
  }
  return [...lines, part].join("\r\n");
}

function eventLines(event: CalendarEvent): string[] {
  return [
    "BEGIN:VEVENT",
    `UID:${escaped(event.uid)}`,
    `DTSTAMP:${utc(event.made_ms)}`,
    `DTSTART:${utc(event.due_ms)}`,
    `DTEND:${utc(event.due_ms + EVENT_MS)}`,
    `SUMMARY:${escaped(event.title)}`,
    `DESCRIPTION:${escaped(event.text)}`,
    "TRANSP:OPAQUE",
    "BEGIN:VALARM",
    "ACTION:DISPLAY",
    `DESCRIPTION:${escaped(event.title)}`,
    "TRIGGER:PT0S",
    "END:VALARM",
    "END:VEVENT",
  ];
}

export function calendarText(events: readonly CalendarEvent[]): string {
  const lines = [
    "BEGIN:VCALENDAR",
    "VERSION:2.0",
    "PRODID:-//Temperward//Phone//EN",
    "CALSCALE:GREGORIAN",
    "METHOD:PUBLISH",
    ...events.flatMap(eventLines),
    "END:VCALENDAR",
  ];
  return `${lines.map(foldLine).join("\r\n")}\r\n`;
}

export function calendarFile(events: readonly CalendarEvent[], name: string): File {
  return new File([calendarText(events)], `${name}.ics`, { type: "text/calendar" });
}
