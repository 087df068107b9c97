import { cleanup, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it } from "vitest";
import { outbox } from "../../state/outbox.ts";
import { shop } from "../../state/shop.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { placed } from "../../testing/fresh_store.ts";
import { say } from "../say.ts";
import { SyncSettings } from "./SyncSettings.tsx";

const before = { outbox: outbox.value, shop: shop.value };
beforeEach(() => {
  freshApp();
});
afterEach(() => {
  cleanup();
  outbox.value = before.outbox;
  shop.value = before.shop;
});

it("tells of everything that the server refused, in words, what to do about it", () => {
  const entry = placed({ kind: "note", body: { text: "warped" } });
  const refused = ["bad_envelope", "other_body", "too_big", "not_allowed"].map((reason, at) => ({
    entry: { ...entry, id: `${at}` },
    reason,
  }));
  outbox.value = { ...outbox.value, refused, refused_photos: { p: "carries_metadata", q: "a_new_reason" } };
  render(<SyncSettings only_here="" state="refused" />);
  for (const reason of [...refused.map((one) => one.reason), "carries_metadata"])
    screen.getByText(say("sync.why_refused", { reason: say(`sync.why.${reason}`) }));
  screen.getByText(say("sync.why_refused", { reason: "a_new_reason" }));
  expect(screen.getAllByText(say("sync.again"))).toHaveLength(6);
  expect(document.body.textContent).not.toMatch(/bad_envelope|\[app/);
});
