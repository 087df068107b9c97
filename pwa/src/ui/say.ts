import english from "virtual:words";
import type { FactValue, Note } from "../engine/types.ts";
import { render } from "./words.ts";

/** What is built asks by place for what stands here by name (`scripts/words.ts`). */
const NAMES = Object.keys(english);

type Facts = Readonly<Record<string, FactValue>>;

/** A label of the screens: the words stand in `words/en/app.json`, never in a component. */
export function say(key: string, facts: Facts = {}): string {
  return render({ key: NAMES[+key] ?? `app.${key}`, facts });
}

/** A label that may be missing: a word of a newer version, or somebody's own text, is shown as it is. */
export function sayOr(key: string, otherwise: string): string {
  const text = say(key);
  return text.startsWith("[") ? otherwise : text;
}

/** The name of a field: `coupon.thickness_mm` has its own or takes that of `thickness_mm`. */
export function fieldLabel(path: string): string {
  const whole = path.replace(/\[?\d+\]?\.?/g, "").replaceAll(".", "_");
  return sayOr(`field.${whole}`, say(`field.${path.replace(/^.*\./, "")}`));
}

/** The same where it is large: no line begins with a unit. */
export const whole = (note: Note | null | undefined): string => words(note).replace(/(\d) (?=°|K|mm|min)/g, "$1\u00a0");

/** What the engine says, in the person's words and units; nothing for nothing. */
export function words(note: Note | null | undefined): string {
  return note ? render(note) : "";
}
