import { expect, it } from "vitest";
import type { StageId } from "../engine/types.ts";
import { alarms } from "../state/alarms.ts";
import { nowMs } from "../state/moment.ts";
import { deviceSettings } from "../state/person.ts";
import { followLook } from "./look.ts";

followLook();

/** In which of eight seconds the whole screen is lit. */
function lit(stage: StageId, grinding_on = false): string {
  deviceSettings.value = { ...deviceSettings.peek(), grinding_on };
  const ring = {
    clock_id: "c",
    piece_id: "p",
    tag: "QF-103",
    kind: "brittle",
    due_ms: 0,
    text: { key: "say:" },
  } as const;
  alarms.value = { ...alarms.peek(), ringing: { ...ring, stage } };
  return Array.from({ length: 8 }, (_, second) => {
    nowMs.value = second * 1000;
    return document.documentElement.dataset.light === "on" ? "x" : ".";
  }).join("");
}

it("lights the whole screen at hurry, more often at the alarm, and at the grinder at each stage", () => {
  expect(lit("reminder")).toBe("........");
  expect(lit("hurry")).toBe("x...x...");
  expect(lit("alarm")).toBe("x.x.x.x.");
  expect(lit("reminder", true)).toBe("x...x...");
});
