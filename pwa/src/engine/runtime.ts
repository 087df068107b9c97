/** Starts the engine's Python and lends its few entries: the same code in the workers, on the bench page and in Node's tests. */

/** What this file uses of the MicroPython module. */
interface MicroPython {
  readonly FS: { mkdir(path: string): void; writeFile(path: string, bytes: Uint8Array): void };
  pyimport(name: string): Record<string, (...args: (string | number)[]) => string | number | null>;
}

export type LoadMicroPython = (options: {
  heapsize: number;
  pystack: number;
  url?: string;
  stdout: (line: string) => void;
  stderr: (line: string) => void;
}) => Promise<unknown>;

/** One file of the lowered engine. */
interface BundledFile {
  readonly path: string;
  readonly bytes: Uint8Array;
}

export interface Bundle {
  readonly version: string;
  readonly files: readonly BundledFile[];
}

/** The entries of `phone_host`: all take text and give text, numbers only for counts. */
export interface Engine {
  readonly version: string;
  ask(question: string, facts_json: string): string;
  openLog(log_id: string, packed_json: string): number;
  appendEntry(log_id: string, entry_json: string): number;
  foldOpen(log_id: string, facts_json: string): string;
  foldPacked(log_id: string, packed_json: string, facts_json: string): string;
}

/** Room to begin with; it grows by itself. Python collects its waste only between two questions. */
const HEAP_BYTES = 8 * 1024 * 1024;
/** Waste is swept up when there is so much of it; by itself after every question of 16 kB, a fifth of a fold's time. */
const WASTE_BYTES = HEAP_BYTES / 2;
/** Deep enough for any engine call; the shipped 2,048 is not. */
const PYTHON_STACK_WORDS = 32 * 1024;
const LIBRARY = "/lib";

/** Take the build's one file apart: length of the index, index, files. */
export function readBundle(content: ArrayBuffer): Bundle {
  const index_bytes = new DataView(content).getUint32(0, true);
  const index = JSON.parse(new TextDecoder().decode(new Uint8Array(content, 4, index_bytes))) as {
    version: string;
    files: [string, number][];
  };
  let at = 4 + index_bytes;
  const files = index.files.map(([path, length]) => {
    const bytes = new Uint8Array(content, at, length);
    at += length;
    return { path, bytes };
  });
  return { version: index.version, files };
}

export interface StartOptions {
  readonly load: LoadMicroPython;
  readonly bundle: Bundle;
  readonly wasm_url?: string;
}

/** Load Python, lay the engine beside it, and import it. */
export async function startEngine({ load, bundle, wasm_url }: StartOptions): Promise<Engine> {
  const said: string[] = [];
  const python = (await load({
    heapsize: HEAP_BYTES,
    pystack: PYTHON_STACK_WORDS,
    ...(wasm_url === undefined ? {} : { url: wasm_url }),
    stdout: (line) => said.push(line),
    stderr: (line) => said.push(line),
  })) as MicroPython;
  layOut(python, bundle.files);
  python.pyimport("gc").threshold?.(WASTE_BYTES);
  const host = python.pyimport("temperward.engine.phone_host");
  const entry = (name: string) => {
    const call = host[name];
    if (typeof call !== "function") throw new Error(`the engine has no ${name}`);
    return call;
  };
  return {
    version: bundle.version,
    ask: (question, facts_json) => String(entry("ask")(question, facts_json)),
    openLog: (log_id, packed_json) => Number(entry("open_log")(log_id, packed_json)),
    appendEntry: (log_id, entry_json) => Number(entry("append_entry")(log_id, entry_json)),
    foldOpen: (log_id, facts_json) => String(entry("fold_open")(log_id, facts_json)),
    foldPacked: (log_id, packed, facts_json) => String(entry("fold_packed")(log_id, packed, facts_json)),
  };
}

function layOut(python: MicroPython, files: readonly BundledFile[]): void {
  const made = new Set<string>();
  for (const { path, bytes } of files) {
    const folders = `${LIBRARY}/${path}`.split("/").slice(1, -1);
    folders.reduce((parent, name) => {
      const folder = `${parent}/${name}`;
      if (!made.has(folder)) python.FS.mkdir(folder);
      made.add(folder);
      return folder;
    }, "");
    python.FS.writeFile(`${LIBRARY}/${path}`, bytes);
  }
}
