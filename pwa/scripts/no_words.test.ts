// @vitest-environment node
import { globSync, readFileSync } from "node:fs";
import ts from "typescript";
import { expect, it } from "vitest";

/** What a person reads or hears of an element beside its text. */
const READ = new Set(["aria-label", "title", "alt", "placeholder", "label"]);
const LETTERS = /\p{L}{2}/u;

/** The text that a person would read and that stands in a component, not in the words. */
function wordsIn(name: string, text: string): string[] {
  const found: string[] = [];
  const look = (node: ts.Node): void => {
    if (ts.isJsxText(node) && LETTERS.test(node.text)) found.push(node.text.trim());
    if (ts.isStringLiteralLike(node) && LETTERS.test(node.text) && isRead(node)) found.push(node.text);
    ts.forEachChild(node, look);
  };
  look(ts.createSourceFile(name, text, ts.ScriptTarget.Latest, true, ts.ScriptKind.TSX));
  return found;
}

/** A string as the child of an element, or what is said of one: `{open && "Open"}`, `title="Open"`. */
function isRead(node: ts.Node): boolean {
  let at = node.parent;
  while (ts.isConditionalExpression(at) || ts.isParenthesizedExpression(at) || isChoice(at)) {
    if (ts.isConditionalExpression(at) && at.condition === node) return false;
    at = at.parent;
  }
  const around = ts.isJsxExpression(at) ? at.parent : at;
  if (ts.isJsxAttribute(around)) return READ.has(around.name.getText());
  return ts.isJsxExpression(at) && (ts.isJsxElement(around) || ts.isJsxFragment(around));
}

const isChoice = (node: ts.Node): boolean =>
  ts.isBinaryExpression(node) &&
  [ts.SyntaxKind.AmpersandAmpersandToken, ts.SyntaxKind.BarBarToken, ts.SyntaxKind.QuestionQuestionToken].includes(
    node.operatorToken.kind,
  );

it("has no words in a component: what a person reads stands in the words files", () => {
  const files = globSync("src/**/*.tsx").filter((name) => !name.includes(".test."));
  const found = files.flatMap((name) => wordsIn(name, readFileSync(name, "utf8")).map((text) => `${name}: ${text}`));
  expect(files.length).toBeGreaterThan(30);
  expect(found).toEqual([]);
});

it.each([
  ["<p>Open it</p>", ["Open it"]],
  ['<p title="Open it" class="of open">{say("open.it")}</p>', ["Open it"]],
  ['<p>{late && "Too late"}</p>', ["Too late"]],
  ['<p aria-label={late ? "Too late" : say("due")} />', ["Too late"]],
  ['<p class={late ? "is late" : ""}>{kind === "hard" ? say("hard") : say("soft")}</p>', []],
])("finds them: %s", (text, words) => {
  expect(wordsIn("one.tsx", `const one = ${text};`)).toEqual(words);
});
