import fc from "fast-check";
import { afterEach, describe, expect, it } from "vitest";
import { NOBODY, person } from "../state/person.ts";
import { kindOfName, scaleOf, shown, shownNumber } from "./units.ts";

const american = { ...NOBODY, temperature_unit: "f", length_unit: "thou" } as const;

afterEach(() => {
  person.value = NOBODY;
});

describe("a person's units", () => {
  it("leaves degrees and millimetres as they are", () => {
    expect(shown(205, "temperature")).toBe("205 °C");
    expect(shown(0.55, "length")).toBe("0.55 mm");
    expect(shown(420, "length")).toBe("420 mm");
  });

  it("turns a temperature with the 32, and an interval without it", () => {
    person.value = american;
    expect(shown(205, "temperature")).toBe("401 °F");
    expect(shown(27.8, "interval")).toBe("50 °F");
    expect(shown(1, "length")).toBe("39.4 thou");
  });

  it("gives back what was typed, as it was shown", () => {
    person.value = american;
    fc.assert(
      fc.property(fc.integer({ min: -400, max: 2_400 }), (typed) => {
        const { store } = scaleOf("temperature");
        return shownNumber(store(typed), "temperature") === String(typed);
      }),
      { numRuns: 200 },
    );
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 9_999 }), (tenths) => {
        const { store } = scaleOf("length");
        return shownNumber(store(tenths / 10), "length") === (tenths / 10).toFixed(1);
      }),
      { numRuns: 200 },
    );
  });

  it("knows a unit from the end of a name", () => {
    expect(kindOfName("temperature_c")).toBe("temperature");
    expect(kindOfName("gap_mm")).toBe("length");
    expect(kindOfName("margin_k")).toBe("interval");
    expect(kindOfName("place")).toBe("none");
  });
});
