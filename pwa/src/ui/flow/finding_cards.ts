import { signal } from "@preact/signals";
import { ask } from "../../actions/ask.ts";
import type { FindingCard } from "../../engine/types.ts";

/** The cards of "What now?": asked of the engine once, then here with no network. */
export const findingCards = signal<readonly FindingCard[]>([]);

let asked = false;

export function readFindingCards(): void {
  if (asked) return;
  asked = true;
  void ask<readonly FindingCard[]>("findings", {}).then(
    (cards) => {
      findingCards.value = cards;
    },
    () => {
      asked = false;
    },
  );
}
