import { cleanup, fireEvent, render, screen, within } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { openBlade } from "../../state/blades.ts";
import { allEntries } from "../../store/entries.ts";
import { foldAnswer } from "../../testing/folds.ts";
import { type FreshApp, freshApp } from "../../testing/fresh_app.ts";
import { LOG_ID } from "../../testing/fresh_store.ts";
import { say } from "../say.ts";
import { CheckScreen } from "./CheckScreen.tsx";

let app: FreshApp;

beforeEach(() => {
  app = freshApp();
  const blade = { tag: "QF-1", fold: foldAnswer({}), card: null, earlier_cards: [], folding: false };
  openBlade.value = { ...blade, only_here: new Set<string>(), piece_id: LOG_ID, entries: [] };
});
afterEach(cleanup);

const press = (name: string) => fireEvent.click(screen.getByRole("button", { name }));
const pick = (field: string, choice: string) =>
  fireEvent.click(within(screen.getByRole("group", { name: say(`field.${field}`) })).getByText(choice));
const tiles = () => document.querySelectorAll(".station").length;

function read(hrc: string): void {
  for (const key of hrc) press(key === "," ? say("pad.comma") : key);
}

it("takes three readings of hardness at least, and as many more as are read, with the tester and its block", async () => {
  render(<CheckScreen piece_id={LOG_ID} check="hardness" entry_id={undefined} />);
  pick("place", say("choice.edge"));
  pick("instrument", say("choice.rockwell"));
  fireEvent.click(screen.getByText(say("yes")));
  expect(tiles()).toBe(3);
  for (const hrc of ["58", "59"]) {
    expect(screen.queryByRole("button", { name: say("keep") })).toBeNull();
    read(hrc);
    press(say("next"));
  }
  press(say("keep")); // two are not enough
  expect(await allEntries(app.store)).toEqual([]);
  read("58,5");
  expect(tiles()).toBe(4); // and there may be more
  press(say("keep"));
  const [entry] = await vi.waitFor(async () => {
    const found = await allEntries(app.store);
    if (found.length === 0) throw new Error("not kept yet");
    return found;
  });
  expect(entry?.body).toMatchObject({ instrument: "rockwell", block_checked: true, readings_hrc: [58, 59, 58.5] });
}, 20_000);
