import { paper } from "virtual:words";
import type { PlanField } from "../engine/types.ts";

interface PlanPaper {
  readonly first: readonly PlanField[];
  readonly quench: readonly PlanField[];
  readonly last: readonly PlanField[];
  /** Less common facts, folded away part by part. */
  readonly more: Readonly<Record<string, readonly PlanField[]>>;
  /** One row of each list, `#` for its place; the first bath stands above, only its seconds and its end are asked here. */
  readonly rows: Readonly<Record<string, readonly PlanField[]>>;
  readonly most: Readonly<Record<string, number>>;
}

/** The table is data, `paper.json`: no program, and it comes with the words. */
export const { first: FIRST, quench: QUENCH, last: LAST, more: MORE, rows: ROWS, most: MOST } = paper as PlanPaper;

const ABOVE = new Set([...FIRST, ...QUENCH, ...LAST].map(([, path]) => path));

/** The fields of one row of a list. */
export function rowOf(list: string, at: number): readonly PlanField[] {
  const fields = (ROWS[list] ?? []).map(
    ([kind, path, ...more]): PlanField => [kind, path.replace("#", `${at}`), ...more],
  );
  return fields.filter(([, path]) => !ABOVE.has(path));
}

const BELOW = [...Object.values(MORE).flat(), ...Object.keys(ROWS).flatMap((list) => rowOf(list, 1))];
const OWN = new Set([...ABOVE, ...BELOW.map(([, path]) => path)]);
const BESIDE = ["tag", "letter", "steel", "steels", ...Object.keys(MORE), ...Object.keys(ROWS)];

/** Where a refusal is shown: at its field, else with the part it belongs to; null: above the action. */
export function placeOf(field: string): string | null {
  const path = field.replaceAll("[", ".").replaceAll("]", "");
  if (OWN.has(path) || OWN.has(path.replace(/\.\d+\./, ".1."))) return path;
  const part = path.split(".")[0] ?? "";
  return BESIDE.includes(part) ? part : null;
}
