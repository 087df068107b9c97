import { paper } from "virtual:words";
import type { Body } from "../../engine/types.ts";
import { entered } from "../number_entry.ts";
import { shownText, storedNumber } from "./check.ts";
import { type Form, textIn, type Values } from "./form.ts";

/** A plan on paper: each fact stands under its path in the facts, `quench.1.medium`, the name by which a refusal calls it. */
type Group = Record<string, unknown>;

const { texts: TEXTS, flags: FLAGS } = paper as {
  readonly texts: readonly string[];
  readonly flags: readonly string[];
};
/** Under the name of a list stands how long it is; under `steels` the second steel. */
const LISTS = ["quench", "stations"];
/** What tells one blade from another: said of the blade, not of its card. */
export const NAMES: readonly string[] = ["tag", "name", "batch", "letter"];
const BESIDE = new Set([...NAMES, "steels", ...LISTS]);

const lastPart = (path: string) => path.slice(path.lastIndexOf(".") + 1);
const isNumber = (path: string) =>
  !(BESIDE.has(path) || TEXTS.includes(lastPart(path)) || FLAGS.includes(lastPart(path)));

export function countOf(form: Form, list: string): number {
  return Number(textIn(form, list)) || 0;
}

/** The number that is no number yet: it could mean two things, or nothing. */
export function unclear(form: Form): string | undefined {
  const typed = Object.keys(form.values.value).filter(isNumber);
  return typed.find((path) => ["either", "wrong"].includes(entered(textIn(form, path)).is));
}

function read(form: Form, path: string): unknown {
  const text = textIn(form, path).trim();
  if (text === "") return undefined;
  if (TEXTS.includes(lastPart(path))) return text;
  if (FLAGS.includes(lastPart(path))) return text === "yes";
  return storedNumber(form, path);
}

function put(facts: Group, path: string, value: unknown): void {
  const parts = path.split(".");
  const name = parts.pop() ?? "";
  let group = facts;
  for (const part of parts) {
    group[part] ??= {};
    group = group[part] as Group;
  }
  group[name] = value;
}

/** A coupon without a thickness is none; its bath is the blade's own where nothing else was said. */
function tidyCoupon(facts: Group): void {
  const coupon = facts.coupon as Group | undefined;
  if (coupon?.thickness_mm === undefined) delete facts.coupon;
  else coupon.medium ??= (facts.quench as readonly Group[])[0]?.medium;
}

/** The facts as make_card takes them; what was left empty is left out. */
export function cardFacts(form: Form): Body {
  const facts: Group = {};
  for (const path of Object.keys(form.values.value)) {
    const value = BESIDE.has(path) ? undefined : read(form, path);
    if (value !== undefined) put(facts, path, value);
  }
  for (const list of LISTS) {
    const rows = (facts[list] ?? {}) as Group;
    facts[list] = Array.from({ length: countOf(form, list) }, (_, at) => rows[at] ?? {});
  }
  if (countOf(form, "stations") === 0) delete facts.stations;
  const second = textIn(form, "steels");
  if (second) {
    facts.steels = [facts.steel, second];
    delete facts.steel;
  }
  tidyCoupon(facts);
  return facts;
}

function pathsOf(value: unknown, path: string): readonly (readonly [string, string])[] {
  if (typeof value !== "object" || value === null) return [[path, shownText(path, value)]];
  const inner = Object.entries(value).flatMap(([name, one]) => pathsOf(one, `${path}.${name}`));
  return Array.isArray(value) ? [[path, String(value.length)], ...inner] : inner;
}

/** A card's facts back on the paper, in the person's units. */
export function paperOf(facts: Body): Values {
  const { steels, shop_limits: _limits, ...rest } = facts;
  const [steel, second] = (steels as readonly string[] | undefined) ?? [facts.steel, ""];
  const paths = Object.entries(rest).flatMap(([name, value]) => pathsOf(value, name));
  return { ...Object.fromEntries(paths), steel: String(steel ?? ""), steels: String(second ?? "") };
}
