// @vitest-environment node
import type { Plugin } from "vite";
import { expect, it } from "vitest";
import { say } from "../src/ui/say.ts";
import { wordsOf, wordsTable } from "./words.ts";

type Transform = (code: string, id: string) => string | null;

function built(command: "build" | "serve"): Transform {
  const plugin = wordsTable() as Plugin & { configResolved: (config: { command: string }) => void };
  plugin.configResolved({ command });
  return plugin.transform as unknown as Transform;
}

it("asks for a label by its place in what is built, and finds the same words there", () => {
  const code = built("build")('a(say("keep"), say("new.row.quench", { n }));', "/pwa/src/ui/screens/A.tsx");
  const [keep = "", row = ""] = [...(code ?? "").matchAll(/say\((\d+)/g)].map(([, place]) => place);
  const keys = Object.keys(wordsOf("en"));
  expect([keys[Number(keep)], keys[Number(row)]]).toEqual(["app.keep", "app.new.row.quench"]);
  expect([say(keep), say(row, { n: 2 })]).toEqual([say("keep"), say("new.row.quench", { n: 2 })]);
});

it("leaves alone what is no label of the table, what is made up at run time, and everything that is not built", () => {
  const code = `say("no.such.label"); say(\`gate.\${id}\`); other.say("keep");`;
  expect(built("build")(code, "/pwa/src/a.ts")).toBe(code);
  expect(built("build")('say("keep")', "/pwa/node_modules/a.js")).toBeNull();
  expect(built("serve")('say("keep")', "/pwa/src/a.ts")).toBeNull();
});
