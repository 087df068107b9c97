import "fake-indexeddb/auto";
import { expect, test } from "vitest";
import { placeOf } from "../plan_form.ts";
import { formFor, setValues, type Values } from "./form.ts";
import { lengthen } from "./new_blade.ts";
import { cardFacts, paperOf, unclear } from "./plan_facts.ts";

let count = 0;
function paper(values: Values) {
  count += 1;
  return formFor(`plan ${count}`, { quench: "1", "quench.0.medium": "fast_oil", ...values });
}

const FACTS = {
  steel: "1084",
  thickness_mm: 4.2,
  length_mm: 420,
  clay: true,
  hard_zone: { from_mm: 20, to_mm: 400, kind: "edge" },
  heat_source: "kiln",
  quench: [
    { medium: "water", seconds: 3 },
    { medium: "fast_oil", bath_c: 50, event: "lift" },
  ],
  stations: [
    { at_mm: 0, thickness_mm: 4.2 },
    { at_mm: 300, thickness_mm: 2.1, width_mm: 30 },
  ],
  bath: { name: "Long tube", litres: 15, flash_c: 200 },
  composition: { c: 0.84, mn: 0.75 },
  coupon: { thickness_mm: 5, medium: "water", passed: false },
};

test("a card's facts stand on the paper and come back from it as they were", () => {
  expect(cardFacts(paper(paperOf(FACTS)))).toEqual(FACTS);
});

test("what is left empty is left out, and a coupon is tried in the blade's own bath", () => {
  expect(cardFacts(paper({ steel: "1095", edge_mm: "", "coupon.passed": "yes" }))).toEqual({
    steel: "1095",
    quench: [{ medium: "fast_oil" }],
  });
  expect(cardFacts(paper({ "coupon.thickness_mm": "5,5", "coupon.passed": "yes" }))).toMatchObject({
    coupon: { thickness_mm: 5.5, medium: "fast_oil", passed: true },
  });
});

test("two welded steels go as a list and come back as two", () => {
  const facts = cardFacts(paper({ steel: "1084", steels: "75Ni8" }));
  expect(facts).toMatchObject({ steels: ["1084", "75Ni8"] });
  expect(facts).not.toHaveProperty("steel");
  expect(paperOf(facts)).toMatchObject({ steel: "1084", steels: "75Ni8" });
});

test("a bath that is taken away leaves nothing behind", () => {
  const form = paper({ steel: "W1" });
  lengthen(form, "quench", 1);
  setValues(form, { "quench.1.medium": "fast_oil", "quench.1.seconds": "4" });
  expect(cardFacts(form).quench).toHaveLength(2);
  lengthen(form, "quench", -1);
  lengthen(form, "quench", 1);
  expect(cardFacts(form).quench).toEqual([{ medium: "fast_oil" }, {}]);
});

test("a number that could mean two things is named before anything is asked", () => {
  expect(unclear(paper({ "composition.c": "0,84", length_mm: "1,250" }))).toBe("length_mm");
  expect(unclear(paper({ length_mm: "1250", tag: "1,250" }))).toBeUndefined();
});

test("a refusal is shown at its field, else with its part", () => {
  expect(placeOf("quench.2.bath_c")).toBe("quench.2.bath_c");
  expect(placeOf("stations.4.thickness_mm")).toBe("stations.4.thickness_mm");
  expect(placeOf("quench.1")).toBe("quench");
  expect(placeOf("composition.c")).toBe("composition.c");
  expect(placeOf("shop_limits")).toBeNull();
});
