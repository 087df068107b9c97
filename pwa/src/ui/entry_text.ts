import type { Entry } from "../engine/types.ts";
import { say } from "./say.ts";
import { kindOfName, shown } from "./units.ts";

const SKIPPED = new Set(["mark", "check", "finding", "choice", "entry_id", "gate", "items", "initials"]);

function valueText(name: string, value: unknown): string {
  if (typeof value === "boolean") return `${say(`field.${name}`)}: ${say(value ? "yes" : "no")}`;
  if (typeof value === "number") return `${say(`field.${name}`)} ${shown(value, kindOfName(name), decimals(value))}`;
  if (Array.isArray(value)) return listText(name, value);
  if (typeof value === "string") return name === "text" || name === "reason" ? value : say(`choice.${value}`);
  return "";
}

function decimals(value: number): number | undefined {
  return Number.isInteger(value) ? 0 : undefined;
}

function listText(name: string, values: readonly unknown[]): string {
  if (name === "stations") return say("log.stations", { n: values.length });
  const texts = values.filter((value) => typeof value === "number").map((value) => shown(value, kindOfName(name)));
  return texts.join(", ");
}

/** What an entry says beyond its name: its values, in the person's units. */
export function entryDetail(entry: Entry): string {
  const names = Object.keys(entry.body).filter((name) => !SKIPPED.has(name));
  return names
    .map((name) => valueText(name, entry.body[name]))
    .filter(Boolean)
    .join(", ");
}

/** An entry by name. */
export function entryText(entry: Entry): string {
  const { kind, body } = entry;
  const part = body[kind];
  if (kind === "mark" || kind === "check" || kind === "choice") return say(`${kind}.${String(part)}`);
  if (kind === "finding") return say("log.finding", { what: String(part).replaceAll("_", " ") });
  return say(`entry.${kind}`);
}
