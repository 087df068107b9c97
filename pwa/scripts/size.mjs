// The size promise: fails when the app's scripts or the whole precache outgrow it, or when a file that is used is not precached.
import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { basename, join } from "node:path";

const OUT = new URL("../../backend/temperward/app_dist/", import.meta.url).pathname;
const SCRIPTS_BYTES = 60_000;
const PRECACHE_BYTES = 520_000;
// The engine's runtime has its own place in the budget: it is counted in the precache only.
const RUNTIME = /micropython/;

// What is sent: the packed file where pack.mjs wrote one.
const sentBytes = (name) => {
  const path = join(OUT, name);
  return statSync(existsSync(`${path}.gz`) ? `${path}.gz` : path).size;
};
const names = readdirSync(OUT, { recursive: true })
  .map(String)
  .filter((name) => !/\.(gz|br)$/.test(name) && basename(name).includes("."));
const worker = readFileSync(join(OUT, "sw.js"), "utf8");
const precached = names.filter(
  (name) => worker.includes(`"${name}"`) || worker.includes(`\`${name}\``) || worker.includes(`'${name}'`),
);
const scripts = names.filter((name) => /\.m?js$/.test(name) && !RUNTIME.test(name));

const scriptsBytes = scripts.reduce((sum, name) => sum + sentBytes(name), 0);
const precacheBytes = [...precached, "sw.js"].reduce((sum, name) => sum + sentBytes(name), 0);

// What the pages and scripts name as a file of ours must be in the precache, or it is missing offline.
const sources = names.filter((name) => /\.(html|css|m?js|webmanifest)$/.test(name) && name !== "sw.js");
const used = new Set(
  sources.flatMap((name) =>
    [
      ...readFileSync(join(OUT, name), "utf8").matchAll(
        /[\w./-]+\.(?:js|mjs|css|woff2?|wasm|png|svg|webmanifest|bin|json)\b/g,
      ),
    ].map((hit) => basename(hit[0])),
  ),
);
const missing = names.filter((name) => used.has(basename(name)) && name !== "sw.js" && !precached.includes(name));

const report = [
  ["scripts without the engine's runtime", scriptsBytes, SCRIPTS_BYTES],
  ["whole precache", precacheBytes, PRECACHE_BYTES],
];
for (const [what, bytes, limit] of report)
  console.log(`${bytes <= limit ? "ok  " : "OVER"} ${what}: ${bytes} of ${limit} bytes gzip`);
for (const name of missing) console.log(`MISSING in the precache: ${name}`);
if (missing.length > 0 || report.some(([, bytes, limit]) => bytes > limit)) process.exit(1);
