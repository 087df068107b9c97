import { cleanup, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it } from "vitest";
import { things } from "../../state/shop.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { Shop } from "./Shop.tsx";

beforeEach(() => {
  freshApp();
});
afterEach(() => {
  cleanup();
  things.value = [];
});

it("names a bath's range from its beginning to its end", () => {
  const facts = { high_c: 65, low_c: 35, litres: 20, flash_c: 190 };
  const fold = { log_id: "tank", kind: "bath", name: "Tank", facts, last: [] };
  things.value = [{ log_kind: "bath", log_id: "tank", fold }];
  render(<Shop />);
  const row = screen.getByText("Tank", { selector: "span" }).textContent;
  const places = ["20 L", "190 °C", "35 °C", "65 °C"].map((part) => row.indexOf(part));
  expect(places).not.toContain(-1);
  expect(places).toEqual(places.toSorted((one, other) => one - other));
});
