import { cleanup, fireEvent, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import type { LogKind, ThingFold } from "../../engine/types.ts";
import { things } from "../../state/shop.ts";
import { allEntries } from "../../store/entries.ts";
import { type FreshApp, freshApp } from "../../testing/fresh_app.ts";
import { say } from "../say.ts";
import { Shop } from "./Shop.tsx";

let app: FreshApp;

function thing(kind: LogKind, name: string, facts: ThingFold["facts"], last: ThingFold["last"] = []) {
  return { log_kind: kind, log_id: name, fold: { log_id: name, kind, name, facts, last } };
}

beforeEach(() => {
  app = freshApp();
});
afterEach(() => {
  cleanup();
  things.value = [];
});

it("names a bath's range from its beginning to its end, and what was last read of it", () => {
  const facts = { high_c: 65, low_c: 35, litres: 20, flash_c: 190 };
  things.value = [thing("bath", "Tank", facts, [{ check: "bath_temperature", temperature_c: 52, happened_ms: 0 }])];
  render(<Shop />);
  const row = screen.getByText("Tank", { selector: "span" }).textContent;
  const places = ["20 L", "190 °C", "35 °C", "65 °C", "52 °C"].map((part) => row.indexOf(part));
  expect(places).not.toContain(-1);
  expect(places).toEqual(places.toSorted((one, other) => one - other));
});

it("takes the date of an extinguisher, and keeps it as it is printed", async () => {
  render(<Shop />);
  fireEvent.click(screen.getByText(say("shop.new_instrument")));
  const [form] = [screen.getByText(say("shop.new_instrument")).closest("details") as HTMLElement];
  const input = (label: string) => [...form.querySelectorAll("label")].find((one) => one.textContent?.includes(label));
  fireEvent.input(input(say("field.name"))?.querySelector("input") as Element, { target: { value: "Red one" } });
  fireEvent.click(screen.getByText(say("choice.extinguisher")));
  fireEvent.input(input(say("field.until"))?.querySelector("input") as Element, { target: { value: "2027-03-31" } });
  fireEvent.click([...form.querySelectorAll("button")].find((one) => one.textContent === say("keep")) as Element);
  const made = await vi.waitFor(async () => {
    const [entry] = await allEntries(app.store);
    if (!entry) throw new Error("not kept yet");
    return entry;
  });
  const body = { name: "Red one", what: "extinguisher", until: "2027-03-31" };
  expect(made).toMatchObject({ log_kind: "instrument", kind: "made", body });
});

it("asks a hardness tester for its block, and a date of what has one", () => {
  things.value = [
    thing("instrument", "Bench", { what: "hardness_tester" }),
    thing("instrument", "CO", { what: "co_alarm", until: "2027-01-15" }),
  ];
  render(<Shop />);
  expect(screen.getAllByText(say("shop.test_block"))).toHaveLength(1);
  expect(screen.getByText("CO", { selector: "span" }).textContent).toContain(say("field.until"));
});

it("keeps a dial that was put right: it reads low by nothing", async () => {
  things.value = [thing("oven", "Kiln", { name: "Kiln", bias_k: 8 })];
  render(<Shop />);
  const form = screen.getByText(say("shop.change")).closest("details") as HTMLElement;
  const label = [...form.querySelectorAll("label")].find((one) => one.textContent?.includes(say("field.bias_k")));
  fireEvent.input(label?.querySelector("input") as Element, { target: { value: "0" } });
  fireEvent.click([...form.querySelectorAll("button")].find((one) => one.textContent === say("keep")) as Element);
  const changed = await vi.waitFor(async () => {
    const [entry] = await allEntries(app.store);
    if (!entry) throw new Error("not kept yet");
    return entry;
  });
  expect(changed.body).toEqual({ name: "Kiln", bias_k: 0 });
});
