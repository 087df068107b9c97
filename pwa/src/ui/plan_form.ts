import { MEDIA } from "./check_forms.ts";

/** What the paper of a new blade asks for, by path in the facts. The engine judges the values. */
export type PlanField = readonly [kind: "number" | "yesno" | "chips", path: string, choices?: readonly string[]];

const numbers = (...paths: readonly string[]): readonly PlanField[] => paths.map((path) => ["number", path] as const);
const yesno = (path: string): PlanField => ["yesno", path];
const chips = (path: string, ...choices: readonly string[]): PlanField => ["chips", path, choices];

const EVENTS = ["trembling_stops", "lift", "hand_warm"];
const ELEMENTS = ["c", "mn", "si", "cr", "ni", "mo", "v", "w"];

export const FIRST: readonly PlanField[] = [
  ...numbers("thickness_mm", "edge_mm", "length_mm", "width_mm"),
  chips("cycles", "0", "1", "2", "3"),
  chips("heat_source", "kiln", "forge_thermocouple", "forge_by_eye"),
];
export const QUENCH: readonly PlanField[] = [chips("quench.0.medium", ...MEDIA)];
export const LAST: readonly PlanField[] = [
  chips("oven_kind", "kiln", "kitchen", "torch_after"),
  ...numbers("quench.0.bath_c", "target_hrc"),
];

/** Less common facts, folded away part by part. */
export const MORE: Readonly<Record<string, readonly PlanField[]>> = {
  hard_zone: [
    chips("hard_zone.kind", "whole", "edge"),
    ...numbers("hard_zone.from_mm", "hard_zone.to_mm"),
    chips("soft_tang", "kept_out", "softened_after"),
    yesno("clay"),
  ],
  shape: [yesno("double_edge"), yesno("notch"), ...numbers("bolster_mm")],
  heats: [yesno("stress_relief"), chips("temper_cycles", "1", "2", "3")],
  bath: numbers("bath.litres", "bath.flash_c", "bath.low_c", "bath.high_c"),
  coupon: [...numbers("coupon.thickness_mm"), chips("coupon.medium", ...MEDIA), yesno("coupon.passed")],
  composition: numbers(...ELEMENTS.map((element) => `composition.${element}`)),
};

/** One row of each list; the first bath stands above, only its seconds and its end are asked here. */
export const ROWS: Readonly<Record<string, (at: number) => readonly PlanField[]>> = {
  quench: (at) => [
    ...(at > 0 ? [chips(`quench.${at}.medium`, ...MEDIA), ...numbers(`quench.${at}.bath_c`)] : []),
    ...numbers(`quench.${at}.seconds`),
    chips(`quench.${at}.event`, ...EVENTS),
  ],
  stations: (at) => numbers(`stations.${at}.at_mm`, `stations.${at}.thickness_mm`, `stations.${at}.width_mm`),
};
export const MOST: Readonly<Record<string, number>> = { quench: 3, stations: 9 };

const OWN = new Set(
  [...FIRST, ...QUENCH, ...LAST, ...Object.values(MORE).flat(), ...Object.values(ROWS).flatMap((row) => row(1))].map(
    ([, path]) => path,
  ),
);
const BESIDE = ["tag", "steel", "steels", ...Object.keys(MORE), ...Object.keys(ROWS)];

/** Where a refusal is shown: at its field, else with the part it belongs to; null: above the action. */
export function placeOf(field: string): string | null {
  const path = field.replaceAll("[", ".").replaceAll("]", "");
  if (OWN.has(path) || OWN.has(path.replace(/\.\d+\./, ".1."))) return path;
  const part = path.split(".")[0] ?? "";
  return BESIDE.includes(part) ? part : null;
}
