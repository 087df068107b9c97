import { beforeEach, describe, expect, it, vi } from "vitest";
import { alarms } from "../state/alarms.ts";
import { blades, openBlade } from "../state/blades.ts";
import { route, routeFrom, screenChangedMs } from "../state/route.ts";
import { foldAnswer, openOf } from "../testing/folds.ts";
import { freshApp } from "../testing/fresh_app.ts";
import { guardTouches, isStray } from "./touch.ts";

const AGO_MS = 10_000;

guardTouches();

interface Given {
  readonly detail?: number;
  readonly kind?: string;
  readonly down_ms?: number;
  readonly up_ms?: number;
  readonly on?: Element;
  /** What lay under the finger when it was lifted. */
  readonly lifted_from?: Element;
}

/** A touch that went down and came up again so long after the screen changed. */
function touch(given: Given = {}): MouseEvent {
  const { detail = 1, kind = "act", down_ms = 1000 } = given;
  const up_ms = given.up_ms ?? down_ms;
  const button = given.on ?? document.createElement("button");
  button.className = kind;
  const at = (type: string, ms: number) => {
    const event = type === "click" ? new MouseEvent(type, { detail }) : new PointerEvent(type, { pointerId: 1 });
    Object.defineProperty(event, "timeStamp", { value: screenChangedMs.peek() + ms });
    Object.defineProperty(event, "target", { value: type === "click" ? (given.lifted_from ?? button) : button });
    return event;
  };
  if (detail > 0) {
    dispatchEvent(at("pointerdown", down_ms));
    dispatchEvent(at("pointerup", up_ms));
  }
  return at("click", up_ms) as MouseEvent;
}

function show(hash: string, fold = foldAnswer()): void {
  openBlade.value = openOf(fold);
  route.value = routeFrom(hash);
  screenChangedMs.value = 0;
}

/** Whether something changed under the finger, as far as the app can tell. */
const moved = () => screenChangedMs.value > 0;

const row = (piece_id: string) => ({ piece_id, tag: piece_id, fold: null, only_here: 0 });
const state = (cycle: number) => foldAnswer({ state: { ...foldAnswer().state, cycle } });

beforeEach(() => {
  freshApp();
  vi.spyOn(performance, "now").mockReturnValue(AGO_MS + 1000);
  route.value = routeFrom("#/blades");
  screenChangedMs.value = AGO_MS;
});

it("takes a touch right after the screen changed for one of the screen before", () => {
  expect(isStray(touch({ down_ms: 100 }))).toBe(true);
  expect(isStray(touch({ down_ms: 160 }))).toBe(false);
});

it("takes a finger that lay there when the screen changed for one of the screen before, however late it is lifted", () => {
  expect(isStray(touch({ down_ms: -20, up_ms: 400 }))).toBe(true);
  expect(isStray(touch({ down_ms: 160, up_ms: 400 }))).toBe(false);
});

it("presses nothing that came under a finger which had touched something else", () => {
  const row = document.createElement("button");
  const name = row.appendChild(document.createElement("span"));
  const other = document.createElement("button");
  expect(isStray(touch({ on: row, lifted_from: other }))).toBe(true);
  expect(isStray(touch({ on: row, lifted_from: name }))).toBe(false);
});

it("feels a touch however far the phone's clock is set back after the screen changed", () => {
  vi.spyOn(Date, "now").mockReturnValue(3_600_000);
  show("#/blade/piece-1");
  openBlade.value = openOf(state(2));
  expect(moved()).toBe(true);
  vi.spyOn(Date, "now").mockReturnValue(0);
  vi.spyOn(performance, "now").mockReturnValue(screenChangedMs.peek() + 200);
  expect(isStray(touch({ down_ms: 190 }))).toBe(false);
});

it("always takes a click that has no pointer", () => {
  expect(isStray(touch({ detail: 0, up_ms: 0 }))).toBe(false);
});

it("counts a double press of the action once, and each key of the pad", () => {
  expect(isStray(touch({ detail: 2 }))).toBe(true);
  expect(isStray(touch({ detail: 2, kind: "key-5" }))).toBe(false);
});

it("knows that a working screen changed, and that what is typed into did not", () => {
  for (const [hash, changes] of [
    ["#/blade/piece-1", true],
    ["#/blade/piece-1/gate/oven", true],
    ["#/blade/piece-1/note", false],
    ["#/blade/piece-1/check/file", false],
    ["#/settings", false],
  ] as const) {
    show(hash, state(1));
    openBlade.value = openOf(state(2));
    expect([hash, moved()]).toEqual([hash, changes]);
  }
});

describe("rows", () => {
  const MOVED_MS = 1000;
  const list = document.createElement("ul");
  list.className = "rows";
  const of_list = list.appendChild(document.createElement("button"));
  const action = document.createElement("button");
  /** Touched so long after the rows moved: does it count? */
  const counts = (on: Element, ms: number) => {
    vi.spyOn(performance, "now").mockReturnValue(AGO_MS + MOVED_MS + 500);
    return !isStray(touch({ on, down_ms: MOVED_MS + ms }));
  };

  beforeEach(() => {
    alarms.value = { ...alarms.peek(), ringing: null };
    blades.value = [row("a"), row("b")];
    vi.spyOn(performance, "now").mockReturnValue(AGO_MS + MOVED_MS);
  });

  it("in another order are not pressed for a moment; the one action is, for it stays where it is", () => {
    blades.value = [row("b"), row("a")];
    expect([counts(of_list, 100), counts(of_list, 160), counts(action, 100)]).toEqual([false, true, true]);
  });

  it("under an alarm that came are not pressed for a moment", () => {
    const ringing = { clock_id: "c", piece_id: "a", tag: "a", kind: "brittle", stage: "alarm", due_ms: 0 };
    alarms.value = { ...alarms.peek(), ringing: { ...ringing, text: { key: "" } } as typeof alarms.value.ringing };
    expect([counts(of_list, 100), counts(of_list, 160)]).toEqual([false, true]);
  });

  it("that stay where they are can be pressed", () => {
    vi.spyOn(performance, "now").mockReturnValue(AGO_MS + MOVED_MS + 300);
    const settled = !isStray(touch({ on: of_list, down_ms: MOVED_MS + 200 }));
    blades.value = [row("a"), { ...row("b"), only_here: 1 }];
    expect([settled, counts(of_list, 400)]).toEqual([true, true]);
    expect(counts(of_list, 310)).toBe(true);
  });
});

it("lets a touched button of a working screen go, so that the pedal finds the one action", () => {
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
