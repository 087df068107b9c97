// @vitest-environment node
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { cruise, type ICruiseResult } from "dependency-cruiser";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import rules from "../.dependency-cruiser.mjs";

let folder = "";
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "imports-"));
});
afterEach(() => rmSync(folder, { recursive: true }));

/** The rules that a small app with these files breaks. */
async function broken(files: Record<string, string>): Promise<string[]> {
  for (const [path, text] of Object.entries(files)) {
    mkdirSync(dirname(join(folder, path)), { recursive: true });
    writeFileSync(join(folder, path), text);
  }
  const { forbidden } = rules;
  const options = { baseDir: folder, validate: true, ruleSet: { forbidden } };
  const { output } = await cruise(["src"], options as Parameters<typeof cruise>[1]);
  const { violations } = (output as ICruiseResult).summary;
  return violations.map((violation) => violation.rule.name).filter((name) => name !== "no-orphans");
}

const FROM = (path: string) => `import { x } from "${path}";\nexport const y = x;\n`;
const X = "export const x = 1;\n";

describe("the import rules", () => {
  it.each([
    ["ui-shows", { "src/ui/a.js": FROM("../store/b.js"), "src/store/b.js": X }],
    ["ui-shows", { "src/ui/a.js": FROM("../engine/client.js"), "src/engine/client.js": X }],
    ["state-is-plain", { "src/state/a.js": FROM("../actions/b.js"), "src/actions/b.js": X }],
    ["actions-act", { "src/actions/a.js": FROM("../ui/b.js"), "src/ui/b.js": X }],
    ["store-keeps", { "src/store/a.js": FROM("../state/b.js"), "src/state/b.js": X }],
    ["sync-sends", { "src/sync/a.js": FROM("../state/b.js"), "src/state/b.js": X }],
    ["alarms-ring", { "src/alarms/a.js": FROM("../store/b.js"), "src/store/b.js": X }],
    ["engine-alone", { "src/engine/a.js": FROM("../store/b.js"), "src/store/b.js": X }],
    ["worker-alone", { "src/sw.ts": FROM("./store/b.js"), "src/store/b.js": X }],
    ["nobody-imports-the-worker", { "src/actions/a.js": FROM("../sw.ts"), "src/sw.ts": X }],
    ["no-cycles", { "src/store/a.js": FROM("./b.js") + X, "src/store/b.js": FROM("./a.js") + X }],
  ])("%s: seen when broken", async (rule, files) => {
    expect(await broken(files as Record<string, string>)).toContain(rule);
  });

  it("let the layers stand as they are meant", async () => {
    const files = {
      "src/ui/a.js": FROM("../actions/b.js"),
      "src/actions/b.js": `${FROM("../store/c.js")}export { y as x };\n`,
      "src/store/c.js": X,
    };
    expect(await broken(files)).toEqual([]);
  });
});
