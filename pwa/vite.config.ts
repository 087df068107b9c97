import { readFileSync } from "node:fs";
import { defineConfig } from "vitest/config";
import { phoneEngine } from "./scripts/engine.ts";
import { smallerFonts } from "./scripts/fonts.ts";
import { serviceWorker } from "./scripts/service_worker.ts";
import { smallerScripts } from "./scripts/smaller.ts";
import { wordsTable } from "./scripts/words.ts";

const { version } = JSON.parse(readFileSync(new URL("./package.json", import.meta.url), "utf8")) as {
  version: string;
};

export default defineConfig({
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  define: { __APP_VERSION__: JSON.stringify(version) },
  build: {
    outDir: "../backend/temperward/app_dist",
    emptyOutDir: true,
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    target: "es2022",
    rolldownOptions: { checks: { pluginTimings: false } }, // lowering the engine takes its seconds, and may
    sourcemap: false,
  },
  worker: { format: "es", plugins: () => [phoneEngine()] },
  plugins: [phoneEngine(), wordsTable(), smallerFonts(), smallerScripts(), serviceWorker()],
  server: { proxy: { "/api": "http://127.0.0.1:8000", "/healthz": "http://127.0.0.1:8000" } },
  test: {
    environment: "happy-dom",
    include: ["src/**/*.test.{ts,tsx}", "scripts/**/*.test.ts"],
    restoreMocks: true,
    testTimeout: 30_000, // a machine that has other work to do is no fault of ours
    coverage: { include: ["src/{store,sync,state,actions,alarms}/**"], reporter: ["text"] },
  },
});
