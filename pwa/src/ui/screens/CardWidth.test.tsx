import { cleanup, fireEvent, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it } from "vitest";
import { deviceSettings } from "../../state/person.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { followLook } from "../look.ts";
import { say } from "../say.ts";
import { CardWidth } from "./CardWidth.tsx";

const press = (word: string) => fireEvent.click(screen.getByText(say(`card_width.${word}`)));

beforeEach(() => {
  freshApp();
  deviceSettings.value = { ...deviceSettings.peek(), px_per_mm: null };
});

afterEach(cleanup);

it("keeps how many pixels a millimetre of this glass has, and tells the style", async () => {
  followLook();
  render(<CardWidth />);
  for (let times = 0; times < 8; times += 1) press("wider");
  press("narrower");
  press("fits");
  // 324 px to begin with, seven steps of 2 px wider: 338 px over 53.98 mm.
  expect(deviceSettings.value.px_per_mm).toBeCloseTo(338 / 53.98, 6);
  const { style } = document.documentElement;
  expect(Number(style.getPropertyValue("--px-per-mm"))).toBeCloseTo(6.26, 2);
});

it("begins where the last measuring ended", () => {
  deviceSettings.value = { ...deviceSettings.peek(), px_per_mm: 7 };
  const { container } = render(<CardWidth />);
  expect(container.querySelector<HTMLElement>(".bank-card")?.style.width).toBe("378px");
});
