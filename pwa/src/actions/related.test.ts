import { beforeEach, expect, it } from "vitest";
import type { LogKind, ThingFold } from "../engine/types.ts";
import { things } from "../state/shop.ts";
import { relatedThings } from "./related.ts";

const thing = (log_kind: LogKind, log_id: string) => ({
  log_kind,
  log_id,
  fold: { log_id, kind: log_kind, name: log_id } as unknown as ThingFold,
});

beforeEach(() => {
  things.value = [];
});

it("hands over every bath, oven, coupon and instrument and leaves the choice to the fold", () => {
  things.value = [thing("bath", "oil"), thing("bath", "brine"), thing("oven", "kiln"), thing("bar", "flat")];
  const ids = Object.entries(relatedThings().related).map(([kind, folds]) => [
    kind,
    (folds as readonly ThingFold[]).map(({ log_id }) => log_id),
  ]);
  expect(ids).toEqual([
    ["bath", ["oil", "brine"]],
    ["oven", ["kiln"]],
    ["coupon", []],
    ["instrument", []],
  ]);
});
