// Answers JSON lines from stdin with the lowered engine under MicroPython: {"call": [name, ...texts]} -> {"ok"} | {"fault"}.
import { readFileSync } from "node:fs";
import { createInterface } from "node:readline";
import { packRows } from "../../pwa/src/engine/packing.ts";
import { readBundle, startEngine } from "../../pwa/src/engine/runtime.ts";

const { loadMicroPython } = await import(
  new URL("../../pwa/node_modules/@micropython/micropython-webassembly-pyscript/micropython.mjs", import.meta.url)
);
const content = readFileSync(process.argv[2]);
const bundle = readBundle(content.buffer.slice(content.byteOffset, content.byteOffset + content.length));
const engine = await startEngine({ load: loadMicroPython, bundle });
const PACKED = { openLog: true, foldPacked: true }; // the page packs a log before it gives it
const say = (answer) => process.stdout.write(`${JSON.stringify(answer)}\n`);
say({ ok: engine.version });
for await (const line of createInterface({ input: process.stdin })) {
  const [name, ...texts] = JSON.parse(line).call;
  if (name in PACKED) texts[1] = packRows(JSON.parse(texts[1]));
  try {
    say({ ok: engine[name](...texts) });
  } catch (error) {
    say({ fault: String(error.message) });
  }
}
