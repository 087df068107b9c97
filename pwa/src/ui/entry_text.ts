import { paper } from "virtual:words";
import type { Entry } from "../engine/types.ts";
import { say, sayOr, words } from "./say.ts";
import { kindOfName, shown } from "./units.ts";

/** Fields that hold one of a few words; any other text is somebody's own. */
const TABLES = paper as { readonly chosen: readonly string[]; readonly skipped: string };
/** Said elsewhere on the line, or meant for machines: names, ids of other things, what a picture is made of. */
const SKIPPED = new RegExp(TABLES.skipped);

function valueText(name: string, value: unknown): string {
  if (typeof value === "boolean") return `${fieldName(name)}: ${say(value ? "yes" : "no")}`;
  if (typeof value === "number") return `${fieldName(name)} ${shown(value, kindOfName(name))}`;
  if (Array.isArray(value)) return listText(name, value);
  if (typeof value === "string") return TABLES.chosen.includes(name) ? sayOr(`choice.${value}`, value) : value;
  return "";
}

/** A field's label; one we have no label for, by its own name without its unit. */
export function fieldName(name: string): string {
  return sayOr(`field.${name}`, name.replace(/_[a-z]{1,3}$/, "").replaceAll("_", " "));
}

function listText(name: string, values: readonly unknown[]): string {
  if (name === "stations") return say("log.stations", { n: values.length });
  const numbers = values.filter((value) => typeof value === "number");
  const texts = numbers.map((value) => shown(value, kindOfName(name)));
  if (name === "readings_hrc" && numbers.length > 1) {
    const mean_hrc = numbers.reduce((sum, value) => sum + value, 0) / numbers.length;
    texts.push(say("log.mean", { mean_hrc, spread: Math.max(...numbers) - Math.min(...numbers) }));
  }
  return texts.join(", ");
}

/** What an entry says beyond its name: its values, in the person's units. */
export function entryDetail(entry: Entry): string {
  const names = Object.keys(entry.body).filter((name) => !SKIPPED.test(name));
  return names
    .map((name) => valueText(name, entry.body[name]))
    .filter(Boolean)
    .join(", ");
}

/** A finding by the title of its card; one of a newer version by its id. */
function titleOf(finding: string): string {
  const title = words({ key: `findings.${finding}.title` });
  return title.startsWith("[") ? finding.replaceAll("_", " ") : title;
}

/** An entry by name. */
export function entryText(entry: Entry): string {
  const { kind, body } = entry;
  const part = body[kind];
  if (kind === "mark" || kind === "check" || kind === "choice")
    return sayOr(`${kind}.${String(part)}`, String(part).replaceAll("_", " "));
  if (kind === "finding") return say("log.finding", { what: titleOf(String(part)) });
  return sayOr(`entry.${kind}`, kind.replaceAll("_", " "));
}

/** Entries and photos, counted in words; nothing for none. */
export function howMany(entries: number, photos: number): string {
  const parts = [entries > 0 ? say("n_entries", { n: entries }) : "", photos > 0 ? say("n_photos", { n: photos }) : ""];
  return parts.filter(Boolean).join(", ");
}
