import type { FoldAnswer } from "../src/engine/types.ts";
import { alarms } from "../src/state/alarms.ts";
import { blades, openBlade } from "../src/state/blades.ts";
import { outbox } from "../src/state/outbox.ts";
import { FOLDS } from "./working.ts";

interface Scene {
  readonly route: string;
  readonly set: () => void;
}

export function open(fold: FoldAnswer): void {
  openBlade.value = {
    piece_id: "p1",
    tag: fold.tag,
    fold,
    entries: [],
    card: null,
    earlier_cards: [],
    only_here: new Set(),
    folding: false,
  };
}

function working(): Record<string, Scene> {
  const made: Record<string, Scene> = {};
  for (const [name, fold] of Object.entries(FOLDS)) made[name] = { route: "#/blade/p1", set: () => open(fold) };
  return made;
}

function rows(): void {
  const names = ["brittle", "temper", "step-cooling", "gate-not-yet", "step-ground-ready", "step-nothing"];
  blades.value = names.map((name, at) => {
    const fold = FOLDS[name] as FoldAnswer;
    return { piece_id: `p${at}`, tag: fold.tag, fold, only_here: 0 };
  });
  outbox.value = { ...outbox.value, entries: 7, photos: 2 };
}

export const SCENES: Readonly<Record<string, Scene>> = {
  blades: { route: "#/blades", set: rows },
  "blades-none": { route: "#/blades", set: () => undefined },
  ...working(),
  "brittle-nobody": {
    route: "#/blade/p1",
    set: () => {
      open(FOLDS["brittle"] as FoldAnswer);
      alarms.value = { ...alarms.value, visible: false };
    },
  },
};
