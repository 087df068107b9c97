import { execFileSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import type { Plugin } from "vite";

const ROOT = fileURLToPath(new URL("../../", import.meta.url));
const OUT = fileURLToPath(new URL("../build/engine/", import.meta.url));
/** The runtime's branches for Node: dead in a browser, and a warning each for the bundler. */
const NODE_IMPORT = /await import\("(?:module|path|url|fs)"\)/g;

/**
 * A check of the runtime's own table, made at every call inside Python: a quarter of a fold's time, and always true.
 * The table is written once, when the module is made.
 */
const TABLE_CHECK =
  'assert(wasmTable.get(funcPtr)==func,"JavaScript-side Wasm function table mirror is out of date!"),';

/** The runtime as the phone gets it. */
export function trimmedRuntime(code: string): string {
  if (!code.includes(TABLE_CHECK))
    throw new Error("the runtime's table check is not where it was: measure a fold again");
  return code.replace(TABLE_CHECK, "").replace(NODE_IMPORT, "({})");
}

/** The environment that is active, else the project's own. */
function python(): string {
  const environments = [process.env.VIRTUAL_ENV, `${ROOT}.venv`].filter((folder) => folder !== undefined);
  const programs = environments.flatMap((folder) => [`${folder}/bin/python`, `${folder}/Scripts/python.exe`]);
  return programs.find((program) => existsSync(program)) ?? "python3";
}

/** Lower the engine into build/engine/ (engine.bin, engine.json) unless it is there; return its version. */
export function lowerEngine({ keep_last }: { readonly keep_last: boolean }): string {
  const note = `${OUT}engine.json`;
  try {
    const command = ["-m", "temperward.lowering", "--out", OUT];
    execFileSync(python(), command, { cwd: ROOT, stdio: ["ignore", "ignore", "inherit"] });
  } catch (error) {
    if (!keep_last || !existsSync(note)) throw error;
    console.warn("The engine does not lower as it stands; the last one that did is used.");
  }
  return (JSON.parse(readFileSync(note, "utf8")) as { version: string }).version;
}

/** The engine's file for the workers, its version for the page, and a runtime without its branches for Node. */
export function phoneEngine(): Plugin {
  return {
    name: "phone-engine",
    config: (_config, { command }) => {
      const version = lowerEngine({ keep_last: command === "serve" });
      return { define: { __ENGINE_VERSION__: JSON.stringify(version) } };
    },
    transform(code, id) {
      return id.endsWith("micropython.mjs") ? { code: trimmedRuntime(code), map: null } : null;
    },
  };
}
