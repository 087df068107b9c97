import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { WorkerReply, WorkerRequest } from "../engine/messages.ts";
import { type Engine, type LoadMicroPython, readBundle, startEngine } from "../engine/runtime.ts";

const require = createRequire(import.meta.url);
const RUNTIME = require.resolve("@micropython/micropython-webassembly-pyscript/micropython.mjs");
const BUNDLE = require.resolve("../../build/engine/engine.bin");

async function load(): Promise<Engine> {
  const module = (await import(/* @vite-ignore */ RUNTIME)) as { loadMicroPython: LoadMicroPython };
  const file = readFileSync(BUNDLE);
  const content = file.buffer.slice(file.byteOffset, file.byteOffset + file.byteLength) as ArrayBuffer;
  return startEngine({ load: module.loadMicroPython, bundle: readBundle(content) });
}

type Answers = (...texts: string[]) => string | number;
type Hear = (event: { data: WorkerReply }) => void;

/** Questions still to come that the engine breaks on, by the name under which the worker is asked. */
export const faultsToCome: string[] = [];

/** The engine's worker without a thread: the same lowered engine, run in the test's own process. */
class InProcessWorker {
  readonly #engine = load();
  readonly #hear: Hear[] = [];

  addEventListener(kind: string, hear: Hear): void {
    if (kind === "message") this.#hear.push(hear);
  }

  postMessage({ id, call: [name, ...texts] }: WorkerRequest): void {
    void this.#engine
      .then((engine): WorkerReply => {
        if (faultsToCome[0] === name) throw new Error(`a fault in ${faultsToCome.shift()}`);
        return { id, ok: (engine[name] as Answers)(...texts) };
      })
      .catch((fault: unknown): WorkerReply => ({ id, fault: String(fault) }))
      .then((data) => {
        for (const hear of this.#hear) hear({ data });
      });
  }

  terminate(): void {
    this.#hear.length = 0;
  }
}

export function useInProcessWorkers(): void {
  Object.assign(globalThis, { Worker: InProcessWorker });
}
