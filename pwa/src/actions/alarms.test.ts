import { afterEach, expect, it, vi } from "vitest";
import { blades } from "../state/blades.ts";
import { foldAnswer } from "../testing/folds.ts";
import { freshApp } from "../testing/fresh_app.ts";
import { armCalendar } from "./alarms.ts";

const NOON_MS = Date.UTC(2026, 9, 24, 12);
const HOUR_MS = 3_600_000;

afterEach(() => vi.unstubAllGlobals());

it("gives the calendar the instant that the phone's own clock will show, set back or not", async () => {
  const given: File[] = [];
  const share = ({ files }: { files: File[] }) => Promise.resolve(void given.push(...files));
  vi.stubGlobal("navigator", { canShare: () => true, share });
  const { clock } = freshApp(NOON_MS);
  const stage = { stage: "alarm", due_ms: NOON_MS + HOUR_MS / 2, presses: true, text: { key: "said" } };
  const clocks = [{ id: "brittle", stages: [stage] }] as never;
  blades.value = [{ piece_id: "p", tag: "QF-103", fold: foldAnswer({ clocks }), only_here: 0 }];
  for (const set_back_ms of [0, HOUR_MS]) {
    clock.phone_ms = NOON_MS - set_back_ms;
    await armCalendar("p", "brittle", ({ key }) => key);
  }
  const starts = (await Promise.all(given.map((file) => file.text()))).map((text) => /DTSTART:(\S+)/.exec(text)?.[1]);
  expect(starts).toEqual(["20261024T123000Z", "20261024T113000Z"]);
});
