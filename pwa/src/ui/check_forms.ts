import { paper } from "virtual:words";
import type { Asks, PlanField } from "../engine/types.ts";

/** What each check's screen asks for. The engine judges the values; this is only the shape of the paper. */
export type CheckField =
  | { readonly kind: "number"; readonly name: string; readonly optional?: true }
  | { readonly kind: "numbers"; readonly name: string; readonly count: number; readonly most?: number }
  | { readonly kind: "pick"; readonly name: string; readonly choices: readonly string[]; readonly numeric?: true }
  | { readonly kind: "yesno"; readonly name: string; readonly optional?: true }
  | { readonly kind: "answer"; readonly name: string; readonly choices: readonly string[] };

export type ThingKind = "bath" | "oven" | "instrument";

/** The table is data, `paper.json`: no program, and it comes with the words. */
export const {
  things: THINGS,
  checks: CHECK_FORMS,
  looked_after: LOOKED_AFTER,
  pad_keys: PAD_KEYS,
  pad_names: PAD_NAMES,
  bath_size: BATH_SIZE,
} = paper as {
  readonly checks: Readonly<Record<string, readonly CheckField[]>>;
  /** What is asked of a bath, an oven and an instrument, in the order of their form. */
  readonly things: Readonly<Record<ThingKind, readonly PlanField[]>>;
  /** What is looked at from time to time; when it is due again the engine says at the stop point. */
  readonly looked_after: Readonly<Record<ThingKind, string>>;
  readonly pad_keys: readonly string[];
  readonly pad_names: Readonly<Record<string, string>>;
  readonly bath_size: Asks;
};
