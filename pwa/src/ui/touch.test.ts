import { beforeEach, expect, it } from "vitest";
import { screenChangedMs } from "../state/route.ts";
import { guardTouches, isStray } from "./touch.ts";

const NOW_MS = 10_000;

function click(detail: number, kind = "act"): MouseEvent {
  const button = document.createElement("button");
  button.className = kind;
  const event = new MouseEvent("click", { detail });
  Object.defineProperty(event, "target", { value: button });
  return event;
}

beforeEach(() => {
  screenChangedMs.value = 0;
});

it("takes a touch right after the screen changed for one of the screen before", () => {
  screenChangedMs.value = NOW_MS - 100;
  expect(isStray(click(1), NOW_MS)).toBe(true);
  expect(isStray(click(1), NOW_MS + 60)).toBe(false);
});

it("always takes a click that has no pointer", () => {
  screenChangedMs.value = NOW_MS;
  expect(isStray(click(0), NOW_MS)).toBe(false);
});

it("counts a double press of the action once, and each key of the pad", () => {
  expect(isStray(click(2), NOW_MS)).toBe(true);
  expect(isStray(click(2, "key-5"), NOW_MS)).toBe(false);
});

it("lets a touched button of a working screen go, so that the pedal finds the one action", () => {
  guardTouches();
  for (const [place, detail, keeps] of [
    ["work", 1, false],
    ["work", 0, true],
    ["sit", 1, true],
  ] as const) {
    document.body.innerHTML = `<main class="${place}"><button>Undo</button></main>`;
    const button = document.querySelector("button");
    button?.focus();
    button?.dispatchEvent(new MouseEvent("click", { detail, bubbles: true }));
    expect(document.activeElement === button).toBe(keeps);
  }
});
