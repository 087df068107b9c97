declare module "@micropython/micropython-webassembly-pyscript/micropython.mjs" {
  /** Loads Python into this thread. `LoadMicroPython` in runtime.ts says what is used of it. */
  export function loadMicroPython(options: object): Promise<unknown>;
}
