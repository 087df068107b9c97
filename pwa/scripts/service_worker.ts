import { createHash } from "node:crypto";
import { readdirSync, readFileSync, statSync } from "node:fs";
import { join, relative } from "node:path";
import { build, type Plugin, type ResolvedConfig } from "vite";
import { smallerScripts } from "./smaller.ts";

export interface PrecacheLine {
  readonly url: string;
  readonly revision: string | null;
}

function filesUnder(folder: string): string[] {
  return readdirSync(folder).flatMap((name) => {
    const path = join(folder, name);
    return statSync(path).isDirectory() ? filesUnder(path) : [path];
  });
}

/** Hashed file names need no revision; everything else carries the digest of its content. */
export function precacheLines(folder: string): PrecacheLine[] {
  return filesUnder(folder)
    .map((path) => relative(folder, path))
    .filter((url) => !/(^sw\.js|\.(gz|br|map))$/.test(url))
    .sort()
    .map((url) => ({
      url,
      revision: url.startsWith("assets/")
        ? null
        : createHash("sha256")
            .update(readFileSync(join(folder, url)))
            .digest("hex")
            .slice(0, 16),
    }));
}

/** After the app is written: list its files and build `sw.js` (one classic script) with that list inside. */
export function serviceWorker(): Plugin {
  let config: ResolvedConfig;
  return {
    name: "service-worker",
    apply: "build",
    configResolved(resolved) {
      config = resolved;
    },
    async writeBundle() {
      const out = join(config.root, config.build.outDir);
      await build({
        configFile: false,
        root: config.root,
        publicDir: false,
        logLevel: "warn",
        plugins: [smallerScripts()],
        define: {
          "self.__WB_MANIFEST": JSON.stringify(precacheLines(out)),
          "process.env.NODE_ENV": '"production"',
        },
        build: {
          outDir: out,
          emptyOutDir: false,
          target: "es2022",
          lib: { entry: join(config.root, "src/sw.ts"), formats: ["iife"], name: "sw", fileName: () => "sw.js" },
        },
      });
    },
  };
}
