import { expect, it, vi } from "vitest";
import { formFor, setValue, textIn } from "./form.ts";

const draft = vi.hoisted(() => {
  let resolve = (_: Readonly<Record<string, string>>): void => undefined;
  const promise = new Promise<Readonly<Record<string, string>>>((done) => {
    resolve = done;
  });
  return { promise, resolve };
});
vi.mock("../../actions/drafts.ts", () => ({ loadDraft: () => draft.promise, saveDraft: vi.fn(), dropDraft: vi.fn() }));

it("fills a form from its draft, but for what was typed while that was read", async () => {
  const form = formFor("note:a", { initials: "MO" });
  setValue(form, "text", "typed now");
  draft.resolve({ text: "typed before", reason: "of before", initials: "KL" });
  await draft.promise;
  expect(textIn(form, "text")).toBe("typed now");
  expect(textIn(form, "reason")).toBe("of before");
  expect(textIn(form, "initials")).toBe("KL");
});
