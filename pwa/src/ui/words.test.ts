import { readFileSync } from "node:fs";
import { afterEach, expect, test } from "vitest";
import { person } from "../state/person.ts";
import { shop } from "../state/shop.ts";
import { render } from "./words.ts";

/** The same cases hold the server's renderer. */
const shared = JSON.parse(readFileSync("../tests/common/wording_cases.json", "utf8"));
const before = { person: person.peek(), shop: shop.peek() };

afterEach(() => {
  person.value = before.person;
  shop.value = before.shop;
});

for (const units of Object.keys(shared.units)) {
  const { fahrenheit, thou } = shared.units[units];
  for (const one of shared.cases) {
    test(`${units}: ${JSON.stringify(one.note)} is "${one[units]}"`, () => {
      person.value = {
        ...before.person,
        temperature_unit: fahrenheit ? "f" : "c",
        length_unit: thou ? "thou" : "mm",
      };
      shop.value = { ...before.shop, zone: shared.zone };
      expect(render(one.note, shared.words)).toBe(one[units]);
    });
  }
}
