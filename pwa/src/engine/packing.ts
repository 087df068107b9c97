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
  | readonly ["some", name: string, values: readonly Placed[]]
  | readonly ["beside", name: string, values: readonly Placed[], other: string];

type Placed = readonly [place: number, value: unknown];

type Row = Readonly<Record<string, unknown>>;

const LINE = "\n";

export function packRows(rows: readonly object[]): string {
  const entries = rows as readonly Row[];
  const names = new Set<string>();
  for (const entry of entries) for (const name of Object.keys(entry)) names.add(name);
  for (const name of unread.entry) names.delete(name);
  if (names.delete("written_ms")) names.add("written_ms"); // after what it stands beside
  return JSON.stringify({ count: entries.length, columns: [...names].map((name) => column(name, entries)) });
}

function column(name: string, entries: readonly Row[]): Column {
  const values = entries.map((entry) => (name === "body" ? foldable(entry[name]) : entry[name]));
  if (values.includes(undefined)) return ["some", name, present(values)];
  // What is written down as it happens has one time twice; a long number is slow to read there.
  if (name === "written_ms") {
    return [
      "beside",
      name,
      present(values.map((at, row) => (at === entries[row]?.happened_ms ? undefined : at))),
      "happened_ms",
    ];
  }
  const place = new Map<unknown, number>();
  const distinct: unknown[] = [];
  const which = values.map((value) => {
    const key = typeof value === "object" ? LINE + JSON.stringify(value) : value;
    const known = place.get(key);
    if (known !== undefined) return known;
    place.set(key, distinct.length);
    return distinct.push(value) - 1;
  });
  if (distinct.length === 1) return ["same", name, values[0]];
  if (distinct.length * 1.5 < values.length) return ["of", name, distinct, which];
  if (values.every((value) => typeof value === "string" && !value.includes(LINE))) {
    return ["lines", name, values.join(LINE)];
  }
  return ["each", name, values];
}

function present(values: readonly unknown[]): Placed[] {
  return values.flatMap((value, place) => (value === undefined ? [] : [[place, value] as const]));
}

/** A card is nine tenths of a log's texts, and folding reads few of them. */
function foldable(body: unknown): unknown {
  if (!isRow(body) || !isRow(body.card)) return body;
  const card = without(body.card, unread.card);
  return { ...body, card: { ...card, ...each(card, "steps", foldableStep) } };
}

function foldableStep(step: Row): Row {
  const read = without(step, unread.step);
  return { ...read, ...each(read, "checks", foldableCheck), ...each(read, "set_points", foldablePoint) };
}

const foldableCheck = (check: Row): Row => without(check, unread.check);

/** Of a point that folding never reads, the empty row. */
const foldablePoint = (point: Row): Row =>
  unread.set_points_but.some((name) => String(point.id).startsWith(name)) ? without(point, unread.set_point) : {};

/** The rows of one list, each changed; what is no list of rows stays as it is. */
function each(row: Row, name: string, change: (one: Row) => Row): Row {
  const rows = row[name];
  return Array.isArray(rows) ? { [name]: rows.map((one) => (isRow(one) ? change(one) : one)) } : {};
}

function without(row: Row, names: readonly string[]): Row {
  return Object.fromEntries(Object.entries(row).filter(([name]) => !names.includes(name)));
}

function isRow(value: unknown): value is Row {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
