import { paper } from "virtual:words";
import type { Asks } from "../engine/types.ts";

/** What each check's screen asks for. The engine judges the values; this is only the shape of the paper. */
export type CheckField =
  | { readonly kind: "number"; readonly name: string; readonly optional?: true }
  | { readonly kind: "numbers"; readonly name: string; readonly count: number }
  | { readonly kind: "pick"; readonly name: string; readonly choices: readonly string[]; readonly numeric?: true }
  | { readonly kind: "yesno"; readonly name: string; readonly optional?: true }
  | { readonly kind: "answer"; readonly name: string; readonly choices: readonly string[] };

/** The table is data, `paper.json`: no program, and it comes with the words. */
export const {
  media: MEDIA,
  checks: CHECK_FORMS,
  numbers: NUMBERS,
  looked_after: LOOKED_AFTER,
  pad_keys: PAD_KEYS,
  pad_names: PAD_NAMES,
  bath_size: BATH_SIZE,
} = paper as {
  readonly media: readonly string[];
  readonly checks: Readonly<Record<string, readonly CheckField[]>>;
  /** The figures of a bath and of an oven, in the order of their form. */
  readonly numbers: Readonly<Record<string, readonly string[]>>;
  /** What is looked at from time to time; when it is due again the engine says at the stop point. */
  readonly looked_after: Readonly<Record<string, string>>;
  readonly pad_keys: readonly string[];
  readonly pad_names: Readonly<Record<string, string>>;
  readonly bath_size: Asks;
};
