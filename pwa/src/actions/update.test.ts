import { beforeEach, describe, expect, it } from "vitest";
import type { FoldAnswer } from "../engine/types.ts";
import { openBlade } from "../state/blades.ts";
import { unsaved } from "../state/moment.ts";
import { foldAnswer } from "../testing/folds.ts";
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

  it("waits while the open blade is in hand, whether or not a clock runs", () => {
    openWith({ at_work: "hands", clocks: [] });
    expect(applyUpdate()).toEqual({ key: "phone.update_later" });
  });

  it("may be taken beside a blade that is only watched", () => {
    openWith({ at_work: "watched" });
    expect(isSafeMoment()).toBe(true);
  });

  it("waits while something typed is not kept", () => {
    unsaved.value = new Set(["note:1"]);
    expect(isSafeMoment()).toBe(false);
  });
});
