import wasm_url from "@micropython/micropython-webassembly-pyscript/micropython.wasm?url";
import bundle_url from "../../build/engine/engine.bin?url";
import type { WorkerCall, WorkerReply, WorkerRequest } from "./messages.ts";
import { type Engine, type LoadMicroPython, readBundle, startEngine } from "./runtime.ts";

declare const self: DedicatedWorkerGlobalScope;

async function start(): Promise<Engine> {
  const [module, content] = await Promise.all([
    import("@micropython/micropython-webassembly-pyscript/micropython.mjs"),
    fetch(bundle_url).then((reply) => {
      if (!reply.ok) throw new Error(`the engine's file is missing: ${reply.status}`);
      return reply.arrayBuffer();
    }),
  ]);
  const load = module.loadMicroPython as LoadMicroPython;
  return startEngine({ load, bundle: readBundle(content), wasm_url });
}

function answer(engine: Engine, call: WorkerCall): string | number {
  const [name, ...texts] = call;
  return (engine[name] as (...texts: string[]) => string | number)(...texts);
}

const engine = start();

self.onmessage = async ({ data }: MessageEvent<WorkerRequest>) => {
  let reply: WorkerReply;
  try {
    reply = { id: data.id, ok: answer(await engine, data.call) };
  } catch (error) {
    reply = { id: data.id, fault: error instanceof Error ? error.message : String(error) };
  }
  self.postMessage(reply);
};
