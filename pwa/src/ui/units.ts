import { paper } from "virtual:words";
import { person } from "../state/person.ts";

/** What a typed number means: stored in SI, shown and typed in the person's unit. */
export type UnitKind =
  | "temperature"
  | "interval"
  | "length"
  | "seconds"
  | "minutes"
  | "hrc"
  | "grams"
  | "litres"
  | "percent"
  | "none";

type Kinds = Readonly<Record<string, UnitKind>>;

/** Which kind an ending of a name and a unit stand for is data. */
const { endings: ENDINGS, units: UNITS } = paper as { readonly endings: Kinds; readonly units: Kinds };

const THOU_MM = 0.0254;

interface Scale {
  readonly name: string;
  readonly decimals: number;
  readonly show: (stored: number) => number;
  readonly store: (shown: number) => number;
}

function same(name: string, decimals: number): Scale {
  return { name, decimals, show: (stored) => stored, store: (shown) => shown };
}

const CELSIUS = same("°C", 0);
const KELVIN = same("K", 0);
const MILLIMETRE = same("mm", 2);
const FAHRENHEIT: Scale = {
  name: "°F",
  decimals: 0,
  show: (stored) => (stored * 9) / 5 + 32,
  store: (shown) => ((shown - 32) * 5) / 9,
};
/** An interval in Fahrenheit degrees: no 32 in it. */
const FAHRENHEIT_STEP: Scale = {
  name: "°F",
  decimals: 0,
  show: (stored) => (stored * 9) / 5,
  store: (shown) => (shown * 5) / 9,
};
const THOU: Scale = {
  name: "thou",
  decimals: 1,
  show: (stored) => stored / THOU_MM,
  store: (shown) => shown * THOU_MM,
};

const LONG_MM = 20;

/** Long things need no hundredths. */
function decimalsOf(kind: UnitKind, stored: number): number {
  const { decimals, name } = scaleOf(kind);
  if (kind !== "length" && Number.isInteger(stored)) return 0;
  if (name !== "mm" || Math.abs(stored) < LONG_MM) return decimals;
  return Number.isInteger(stored) ? 0 : 1;
}

const PLAIN: Readonly<Record<string, Scale>> = {
  seconds: same("s", 0),
  minutes: same("min", 0),
  hrc: same("HRC", 1),
  grams: same("g", 0),
  litres: same("L", 1),
  percent: same("%", 2),
  none: same("", 2),
};

export function scaleOf(kind: UnitKind): Scale {
  const { temperature_unit, length_unit } = person.value;
  if (kind === "temperature") return temperature_unit === "f" ? FAHRENHEIT : CELSIUS;
  if (kind === "interval") return temperature_unit === "f" ? FAHRENHEIT_STEP : KELVIN;
  if (kind === "length") return length_unit === "thou" ? THOU : MILLIMETRE;
  return PLAIN[kind] ?? CELSIUS;
}

/** The kind of unit that a name's ending stands for (`temperature_c`, `bow_mm`, `hold_s`). */
export function kindOfName(name: string): UnitKind {
  const ending = name.startsWith("composition.") ? "pct" : name.replace(/^.*[_.]/, "");
  return ENDINGS[ending] ?? "none";
}

/** The kind behind a unit as the engine writes it (`degC`, `K`, `mm`). */
export function kindOfUnit(unit: string | null | undefined): UnitKind {
  return UNITS[unit ?? ""] ?? "none";
}

/** A stored value in the person's unit, without the unit's name. */
export function shownNumber(stored: number, kind: UnitKind, decimals = decimalsOf(kind, stored)): string {
  const text = scaleOf(kind).show(stored).toFixed(decimals);
  return text === "-0" ? "0" : text;
}

/** A stored value with its unit: `205 °C`, `0.55 mm`. */
export function shown(stored: number, kind: UnitKind, decimals?: number): string {
  const { name } = scaleOf(kind);
  return `${shownNumber(stored, kind, decimals)}${name ? ` ${name}` : ""}`;
}
