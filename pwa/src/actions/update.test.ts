import { beforeEach, describe, expect, it } from "vitest";
import type { ClockKind, FoldAnswer } from "../engine/types.ts";
import { openBlade } from "../state/blades.ts";
import { unsaved } from "../state/moment.ts";
import { brittleClock, foldAnswer } from "../testing/folds.ts";
import { applyUpdate, isSafeMoment } from "./update.ts";

function openWith(change: Partial<FoldAnswer>): void {
  openBlade.value = {
    piece_id: "piece-1",
    tag: "QF-103",
    fold: foldAnswer({ screen: "step", ...change }),
    entries: [],
    card: null,
    earlier_cards: [],
    only_here: new Set(),
    folding: false,
  };
}

beforeEach(() => {
  openBlade.value = null;
  unsaved.value = new Set();
});

describe("a new version", () => {
  it("may be taken on the list of blades", () => {
    expect(isSafeMoment()).toBe(true);
  });

  it.each(["quench", "straighten"] as const)("waits while the %s screen is open", (screen) => {
    openWith({ screen });
    expect(applyUpdate()).toEqual({ key: "phone.update_later" });
  });

  it.each<ClockKind>(["soak", "hold", "window"])("waits while the %s clock of the open blade runs", (kind) => {
    openWith({ clocks: [brittleClock({ kind })] });
    expect(isSafeMoment()).toBe(false);
  });

  it("waits while something typed is not kept", () => {
    unsaved.value = new Set(["note:1"]);
    expect(isSafeMoment()).toBe(false);
  });
});
