import { fileURLToPath } from "node:url";
import { defineConfig, type Plugin } from "vite";
import { wordsTable } from "../scripts/words.ts";

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));

/** The gallery shows hand-made folds: it has no store and asks no engine. */
const noStore: Plugin = {
  name: "gallery-without-a-store",
  enforce: "pre",
  resolveId: (id) => (/\/(actions\/(ask|drafts)|engine\/client)\.ts$/.test(id) ? here("./no_store.ts") : null),
};

export default defineConfig({
  root: here("."),
  base: "./",
  logLevel: "warn",
  define: { __APP_VERSION__: '"gallery"' },
  worker: { format: "es" },
  plugins: [noStore, wordsTable()],
  build: {
    outDir: process.env["GALLERY_DIR"] ?? here("../../build/gallery"),
    emptyOutDir: true,
    assetsInlineLimit: 0,
    minify: false,
    target: "es2022",
  },
});
