import unread from "../../../backend/temperward/engine/data/unread_by_fold.json" with { type: "json" };

/**
 * A log as columns, for the way into Python: there every text costs a search through all names it knows, and one
 * blade's entries say the same few things hundreds of times. `phone_host.unpacked` is the other half. What entries
 * share there is one object: the engine changes none of it.
 */
type Column =
  | readonly ["same", name: string, value: unknown]
  | readonly ["of", name: string, values: readonly unknown[], which: readonly number[]]
  | readonly ["each", name: string, values: readonly unknown[]]
  | readonly ["lines", name: string, values: string]
  | readonly ["some", name: string, values: readonly (readonly [place: number, value: unknown])[]];

type Row = Readonly<Record<string, unknown>>;

const LINE = "\n";

export function packRows(rows: readonly object[]): string {
  const entries = (rows as readonly Row[]).map(withoutUnread);
  const names = [...new Set(entries.flatMap((entry) => Object.keys(entry)))];
  return JSON.stringify({ count: entries.length, columns: names.map((name) => column(name, entries)) });
}

function column(name: string, entries: readonly Row[]): Column {
  const values = entries.map((entry) => entry[name]);
  if (values.includes(undefined)) return ["some", name, present(values)];
  const place = new Map<string, number>();
  const which = values.map((value) => {
    const text = JSON.stringify(value);
    const known = place.get(text) ?? place.size;
    place.set(text, known);
    return known;
  });
  if (place.size === 1) return ["same", name, values[0]];
  if (place.size * 1.5 < values.length) return ["of", name, [...place.keys()].map((text) => JSON.parse(text)), which];
  if (values.every((value) => typeof value === "string" && !value.includes(LINE))) {
    return ["lines", name, values.join(LINE)];
  }
  return ["each", name, values];
}

function present(values: readonly unknown[]): (readonly [number, unknown])[] {
  return values.flatMap((value, place) => (value === undefined ? [] : [[place, value] as const]));
}

/** A card is nine tenths of a log's texts, and folding reads few of them; of an envelope it leaves some fields. */
function withoutUnread(entry: Row): Row {
  const body = entry.body as Row | null | undefined;
  const card = body?.card;
  if (!isRow(card)) return without(entry, unread.entry);
  const steps = Array.isArray(card.steps) ? { steps: card.steps.map(foldableStep) } : {};
  return { ...without(entry, unread.entry), body: { ...body, card: { ...without(card, unread.card), ...steps } } };
}

function foldableStep(step: unknown): unknown {
  if (!isRow(step)) return step;
  const points = step.set_points;
  const set_points = Array.isArray(points)
    ? { set_points: points.map((point) => (isRow(point) ? without(point, unread.set_point) : point)) }
    : {};
  return { ...without(step, unread.step), ...set_points };
}

function without(row: Row, names: readonly string[]): Row {
  return Object.fromEntries(Object.entries(row).filter(([name]) => !names.includes(name)));
}

function isRow(value: unknown): value is Row {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
