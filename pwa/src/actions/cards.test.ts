import { expect, it } from "vitest";
import { placed } from "../testing/fresh_store.ts";
import { cardsOf } from "./cards.ts";

const card = (id: string) => placed({ id, kind: "card_made", body: { card: { facts: {} } } });
const made = [card("first"), card("second"), card("third")];
const ids = ({ card: now, earlier_cards }: ReturnType<typeof cardsOf>) => [
  now?.entry_id,
  ...earlier_cards.map(({ entry_id }) => entry_id),
];

it("goes by the newest card until the engine has said which is in force", () => {
  expect(ids(cardsOf(made))).toEqual(["third", "second", "first"]);
});

it("shows the card that the log goes by, and the others beside it", () => {
  expect(ids(cardsOf(made, "second"))).toEqual(["second", "third", "first"]);
});

it("never shows a card that was taken back, whatever an older answer says", () => {
  const taken_back = [...made, placed({ kind: "withdraw", body: { entry_id: "third" } })];
  expect(ids(cardsOf(taken_back, "third"))).toEqual(["second", "first"]);
});

it("shows it again once the taking back is taken back", () => {
  const back = (id: string, entry_id: string) => placed({ id, kind: "withdraw", body: { entry_id } });
  expect(ids(cardsOf([...made, back("gone", "third"), back("not gone", "gone")]))).toEqual([
    "third",
    "second",
    "first",
  ]);
});
