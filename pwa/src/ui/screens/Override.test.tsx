import { cleanup, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it } from "vitest";
import type { Action, GateItem } from "../../engine/types.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { Override } from "./Override.tsx";

beforeEach(() => void freshApp());
afterEach(cleanup);

const ITEM = { id: "bow", text: { key: "say:Bow" }, passed: false, hard: true, overridable: true, value: null };

it.each([
  ["override", "Go anyway: say why", "Go anyway"],
  ["reharden_why", "Harden again: why?", "Harden again"],
  ["live_with_why", "Live with it: why?", "Live with it"],
])("asks for the reason of what was pressed, in its own words: %s", (words, title, what) => {
  const label = { key: `fold.do.${words}` };
  const offer: Action = { do: "override", gate: "release", items: ["bow"], label, hold: false, kind: "stop" };
  const items = [{ ...ITEM, expires_ms: null, overridden: null, check: null } as unknown as GateItem];
  render(
    <Override
      piece_id="p"
      fold={foldAnswer({ offers: [offer], gates: [{ id: "release", open: false, items }] })}
      gate="release"
    />,
  );
  expect(screen.getByRole("heading").textContent).toBe(title);
  expect(screen.getByText(what)).toBeTruthy();
});
