import type { FoldAnswer } from "../../engine/types.ts";
import { shownNumber } from "../units.ts";
import { beginning, formOf, keepBody, shownText, storedNumber } from "./check.ts";
import { type Form, setValue, setValues, textIn } from "./form.ts";

const FIRST_COUNT = 7;
export const FEWEST = 3;
export const MOST = 15;

interface Readings {
  readonly side?: string;
  readonly length_mm?: number;
  readonly pad_mm?: number;
  readonly stations?: readonly Readonly<Record<string, number>>[];
}

/** The paper for feeler readings: length, pads, side, then a gap at each station. */
export function stationsForm(piece_id: string, fold: FoldAnswer | null, entry_id: string | undefined): Form {
  const before = beginning("straightness", entry_id) as Readings;
  const { length_mm = fold?.bows.at(-1)?.length_mm, pad_mm, side = "left", stations = [] } = before;
  const read = stations.flatMap((station, at) =>
    Object.entries(station).map(([name, value]) => [`${name}.${at + 1}`, shownText(name, value)]),
  );
  return formOf(
    `${piece_id}:straightness`,
    entry_id,
    {
      count: String(stations.length || FIRST_COUNT),
      side,
      own: stations.length > 0 ? "yes" : "",
      length_mm: shownText("length_mm", length_mm),
      pad_mm: shownText("pad_mm", pad_mm),
      ...Object.fromEntries(read),
    },
    length_mm ? (pad_mm ? "gap_mm.1" : "pad_mm") : "length_mm",
  );
}

export function stationCount(form: Form): number {
  return Number(textIn(form, "count")) || FIRST_COUNT;
}

export function changeCount(form: Form, by: number): void {
  setValue(form, "count", String(Math.min(MOST, Math.max(FEWEST, stationCount(form) + by))));
}

const numbers = (form: Form) => Array.from({ length: stationCount(form) }, (_, at) => at + 1);

/** Where a station lies: where it was measured to be, else evenly from end to end. */
export function stationAt(form: Form, at: number): number | null {
  if (ownPlaces(form)) return storedNumber(form, `at_mm.${at}`) ?? null;
  const length_mm = storedNumber(form, "length_mm");
  return length_mm === undefined ? null : ((at - 1) * length_mm) / (stationCount(form) - 1);
}

export function ownPlaces(form: Form): boolean {
  return textIn(form, "own") === "yes";
}

/** Own places begin as the even ones, to be put right one by one. */
export function changePlaces(form: Form): void {
  const places = numbers(form).map((at) => [at, stationAt(form, at)] as const);
  const even = places.filter(([, at_mm]) => at_mm !== null);
  const texts = even.map(([at, at_mm]) => [`at_mm.${at}`, shownNumber(at_mm ?? 0, "length")] as const);
  const own = ownPlaces(form);
  setValues(form, { ...(own ? {} : Object.fromEntries(texts)), own: own ? "" : "yes" });
}

export function stationNames(form: Form): readonly string[] {
  const each = ownPlaces(form) ? ["at_mm", "gap_mm"] : ["gap_mm"];
  return ["length_mm", "pad_mm", ...numbers(form).flatMap((at) => each.map((name) => `${name}.${at}`))];
}

/** Keep the readings as typed; the engine works out the bow. */
export function keepStations(piece_id: string, form: Form, entry_id: string | undefined): void {
  const missing = stationNames(form).find((name) => storedNumber(form, name) === undefined);
  if (missing) {
    form.missing.value = missing;
    form.at.value = missing;
    return;
  }
  const stations = numbers(form).map((at) => ({
    at_mm: stationAt(form, at) ?? 0,
    gap_mm: storedNumber(form, `gap_mm.${at}`) ?? 0,
  }));
  const body = {
    ...beginning("straightness", entry_id),
    length_mm: storedNumber(form, "length_mm"),
    pad_mm: storedNumber(form, "pad_mm"),
    side: textIn(form, "side"),
    stations,
  };
  keepBody(piece_id, "straightness", form, body, entry_id);
}
