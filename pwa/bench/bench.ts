/** Runs the lowered engine on the page's own thread, where a browser's CPU slow-down reaches it, and the workers beside it. */
import wasm_url from "@micropython/micropython-webassembly-pyscript/micropython.wasm?url";
import bundle_url from "../build/engine/engine.bin?url";
import * as client from "../src/engine/client.ts";
import { packRows } from "../src/engine/packing.ts";
import { type Engine, type LoadMicroPython, readBundle, startEngine } from "../src/engine/runtime.ts";

let engine: Engine | null = null;

/** Milliseconds to load Python, and to import the engine. */
async function start(): Promise<{ load_ms: number }> {
  const began = performance.now();
  const [{ loadMicroPython }, content] = await Promise.all([
    import("@micropython/micropython-webassembly-pyscript/micropython.mjs"),
    fetch(bundle_url).then((reply) => reply.arrayBuffer()),
  ]);
  engine = await startEngine({ load: loadMicroPython as LoadMicroPython, bundle: readBundle(content), wasm_url });
  return { load_ms: performance.now() - began };
}

/** Ask once; the answer and how long the thread was busy with it. */
function ask(question: string, facts: unknown): { ms: number; answer: unknown } {
  if (!engine) throw new Error("start first");
  const text = JSON.stringify(facts);
  const began = performance.now();
  const answer = engine.ask(question, text);
  return { ms: performance.now() - began, answer: JSON.parse(answer) };
}

/** Fold a whole log, from its entries in the page's hands to the answer in them. */
function fold(log_id: string, entries: readonly object[], facts: unknown): { ms: number; answer: unknown } {
  if (!engine) throw new Error("start first");
  const began = performance.now();
  const answer = JSON.parse(engine.foldPacked(log_id, packRows(entries), JSON.stringify(facts)));
  return { ms: performance.now() - began, answer };
}

/** Add one entry to a log that is held and folded, and fold: what a mark costs. */
function mark(log_id: string, entries: readonly object[], facts: unknown): { ms: number; answer: unknown } {
  if (!engine) throw new Error("start first");
  engine.openLog(log_id, packRows(entries.slice(0, -1)));
  const text = JSON.stringify(facts);
  engine.foldOpen(log_id, text);
  const began = performance.now();
  const last = JSON.stringify(entries.at(-1));
  engine.appendEntry(log_id, last);
  const answer = engine.foldOpen(log_id, text);
  return { ms: performance.now() - began, answer: JSON.parse(answer) };
}

Object.assign(globalThis, { bench: { start, ask, fold, mark, client } });
document.title = "ready";
