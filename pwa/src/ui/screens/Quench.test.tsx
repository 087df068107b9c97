import { cleanup, fireEvent, render } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import type { Store } from "../../store/db.ts";
import { readLog } from "../../store/entries.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { Quench } from "./Quench.tsx";

const WALL_MS = 1_800_000_000_000;
const TRIM_MS = 40_000; // less than the app's clock takes for a clock that was set back

const going = foldAnswer({
  screen: "quench",
  state: { id: "hardening_heat", cycle: null, temper: null, since_ms: 0 },
});
const quenched = foldAnswer({
  screen: "quench",
  state: { id: "in_quench", cycle: null, temper: null, since_ms: WALL_MS },
  count: going.count + 1,
});

let store: Store;
let clock: { now_ms: number };
let blades = 0;
let piece_id = "";

const marks = async () => (await readLog(store, piece_id)).map(({ body }) => body.mark);

/** Two clocks: the app's, and what has passed since the page began. */
function at({ wall_ms, passed_ms }: { wall_ms: number; passed_ms: number }): void {
  clock.now_ms = wall_ms;
  vi.spyOn(performance, "now").mockReturnValue(passed_ms);
}

async function contact(): Promise<void> {
  const event = new PointerEvent("pointerdown", { bubbles: true });
  Object.defineProperty(event, "timeStamp", { value: performance.now() });
  fireEvent(document.getElementsByClassName("field")[0] as Element, event);
  await new Promise((resolve) => setTimeout(resolve, 50));
}

beforeEach(() => {
  ({ store, clock } = freshApp(WALL_MS));
  piece_id = `quenched-${++blades}`;
});

afterEach(cleanup);

async function underAt({ wall_ms, passed_ms }: { wall_ms: number; passed_ms: number }): Promise<void> {
  at({ wall_ms, passed_ms });
  const { rerender } = render(<Quench piece_id={piece_id} fold={going} />);
  await contact();
  expect(await marks()).toEqual(["quenched"]);
  rerender(<Quench piece_id={piece_id} fold={quenched} />);
}

it("is deaf for two seconds after the mark, then takes the next contact for out of the bath", async () => {
  await underAt({ wall_ms: WALL_MS, passed_ms: 10_000 });
  at({ wall_ms: WALL_MS + 1900, passed_ms: 11_900 });
  await contact();
  expect(await marks()).toEqual(["quenched"]);
  at({ wall_ms: WALL_MS + 2100, passed_ms: 12_100 });
  await contact();
  expect(await marks()).toEqual(["quenched", "out_of_bath"]);
});

it("is no longer deaf where the phone's clock is trimmed back while the blade is in the bath, and no shorter", async () => {
  await underAt({ wall_ms: WALL_MS, passed_ms: 10_000 });
  at({ wall_ms: WALL_MS - TRIM_MS, passed_ms: 11_900 });
  await contact();
  expect(await marks()).toEqual(["quenched"]);
  at({ wall_ms: WALL_MS - TRIM_MS + 200, passed_ms: 12_100 });
  await contact();
  expect(await marks()).toEqual(["quenched", "out_of_bath"]);
});
