import { describe, expect, it } from "vitest";
import { entered, pressed } from "./number_entry.ts";

describe("what a typed number means", () => {
  it.each([
    ["0,55", 0.55],
    ["0.55", 0.55],
    ["-3", -3],
    ["−3", -3],
    ["420", 420],
    ["1.250", 1.25],
    ["0,125", 0.125],
    ["1 250", 1250],
    ["1,250.5", 1250.5],
    ["1.250,5", 1250.5],
    ["1,250,000", 1_250_000],
    [",5", 0.5],
    ["5,", 5],
  ])("reads %s as %d", (text, value) => {
    expect(entered(text)).toEqual({ is: "number", value });
  });

  it("asks back when a comma could part decimals or thousands", () => {
    expect(entered("1,250")).toEqual({ is: "either", values: [1.25, 1250] });
  });

  it.each(["", " ", "-"])("takes %j as nothing yet", (text) => {
    expect(entered(text)).toEqual({ is: "empty" });
  });

  it.each(["1,2,3", "12a", "1..2", "NaN", "Infinity"])("does not take %s for a number", (text) => {
    expect(entered(text)).toEqual({ is: "wrong" });
  });
});

describe("the keys of the pad", () => {
  const typed = (...keys: readonly string[]) => keys.reduce(pressed, "");

  it("writes figures and one decimal comma", () => {
    expect(typed("1", ",", "0", ",", "5")).toBe("1,05");
  });

  it("puts a nought before a comma that comes first", () => {
    expect(typed(",", "5")).toBe("0,5");
  });

  it("turns the sign round and back", () => {
    expect(typed("3", "sign")).toBe("-3");
    expect(typed("3", "sign", "sign")).toBe("3");
  });

  it("takes the last figure away, and nothing from nothing", () => {
    expect(typed("1", "2", "back")).toBe("1");
    expect(typed("back")).toBe("");
  });
});
