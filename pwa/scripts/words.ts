import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Plugin } from "vite";

export type Words = Record<string, string | { readonly one: string; readonly other: string }>;

/** The same files that the server and the desk read. */
const FOLDER = fileURLToPath(new URL("../../backend/temperward/engine/data/words/", import.meta.url));
/** What the forms ask for. */
const PAPER = fileURLToPath(new URL("../src/ui/paper.json", import.meta.url));
const NAME = "virtual:words";
/** A label that is asked for by a name that stands in the text of the program. */
const BY_NAME = /(?<![\w.])say\("([\w.]+)"/g;

export function languages(): string[] {
  return readdirSync(FOLDER).filter((name) => statSync(join(FOLDER, name)).isDirectory());
}

/** Every key of one language; a key that two files have is an error. */
export function wordsOf(language: string): Words {
  const words: Words = {};
  for (const area of readdirSync(join(FOLDER, language)).filter((name) => name.endsWith(".json"))) {
    const fresh = JSON.parse(readFileSync(join(FOLDER, language, area), "utf8")) as Words;
    const twice = Object.keys(fresh).filter((key) => key in words);
    if (twice.length > 0) throw new Error(`${area} repeats ${twice.join(", ")}`);
    Object.assign(words, fresh);
  }
  return words;
}

/**
 * `import words, { paper } from "virtual:words"`: the table of words and what the forms ask for. It is a file of its own
 * beside the scripts, because tables are no program: the browser parses them faster, and a changed sentence leaves the
 * scripts as they were.
 */
export function wordsTable(): Plugin {
  let building = false;
  return {
    name: "words-table",
    configResolved(config) {
      building = config.command === "build";
    },
    /** The page asks for the words while its script is still on the way. */
    transformIndexHtml: {
      order: "post",
      handler: (_html, { bundle = {} }) =>
        Object.keys(bundle)
          .filter((name) => /words-en-[^/]*\.json$/.test(name))
          .map((name) => ({
            tag: "link",
            attrs: { rel: "preload", as: "fetch", crossorigin: "anonymous", href: `/${name}` },
            injectTo: "head" as const,
          })),
    },
    /**
     * In what is built a label goes by its place in the table: names are for people, and four hundred of them weigh as
     * much as a screen. Table and scripts are of one build; a label that the table has not keeps its name.
     */
    transform(code, id) {
      if (!building || !/\/src\/.*\.tsx?$/.test(id)) return null;
      const places = Object.keys(wordsOf("en"));
      return code.replace(BY_NAME, (whole, name: string) => {
        const place = places.indexOf(`app.${name}`);
        return place < 0 ? whole : `say(${place}`;
      });
    },
    resolveId: (id) => (id === NAME ? `\0${NAME}` : null),
    load(id) {
      if (id !== `\0${NAME}`) return null;
      this.addWatchFile(PAPER);
      const source = JSON.stringify({ words: wordsOf("en"), paper: JSON.parse(readFileSync(PAPER, "utf8")) });
      const reference = building ? this.emitFile({ type: "asset", name: "words-en.json", source }) : "";
      const table = building ? `await (await fetch(import.meta.ROLLUP_FILE_URL_${reference})).json()` : source;
      return `const { words, paper } = ${table};\nexport { words as default, paper };`;
    },
  };
}
