/**
 * A log as columns, for the way into Python: there every text costs a search through all names it knows, and one
 * blade's entries say the same few texts hundreds of times. `phone_host.unpacked` is the other half.
 */
type Column =
  | readonly ["same", name: string, value: unknown]
  | readonly ["of", name: string, values: readonly unknown[], which: readonly number[]]
  | readonly ["each", name: string, values: readonly unknown[]]
  | readonly ["some", name: string, values: readonly (readonly [place: number, value: unknown])[]];

type Row = Readonly<Record<string, unknown>>;

export function packRows(rows: readonly object[]): string {
  const entries = rows as readonly Row[];
  const names = [...new Set(entries.flatMap((entry) => Object.keys(entry)))];
  return JSON.stringify({ count: entries.length, columns: names.map((name) => column(name, entries)) });
}

function column(name: string, entries: readonly Row[]): Column {
  const values = entries.map((entry) => entry[name]);
  if (values.includes(undefined)) return ["some", name, present(values)];
  // Objects and lists are never shared between entries; texts and numbers may be.
  if (values.some((value) => typeof value === "object" && value !== null)) return ["each", name, values];
  const distinct = [...new Set(values)];
  if (distinct.length === 1) return ["same", name, distinct[0]];
  if (distinct.length * 2 > values.length) return ["each", name, values];
  const place = new Map(distinct.map((value, index) => [value, index]));
  return ["of", name, distinct, values.map((value) => place.get(value) ?? 0)];
}

function present(values: readonly unknown[]): (readonly [number, unknown])[] {
  return values.flatMap((value, place) => (value === undefined ? [] : [[place, value] as const]));
}
