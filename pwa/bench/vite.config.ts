import { fileURLToPath } from "node:url";
import { defineConfig } from "vite";
import { phoneEngine } from "../scripts/engine.ts";

/** The bench page alone: it is no part of the app. */
export default defineConfig({
  root: fileURLToPath(new URL("./", import.meta.url)),
  publicDir: false,
  build: {
    outDir: "../build/bench",
    emptyOutDir: true,
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    target: "es2022",
    rolldownOptions: { checks: { pluginTimings: false } },
  },
  worker: { format: "es", plugins: () => [phoneEngine()] },
  plugins: [phoneEngine()],
});
