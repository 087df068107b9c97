/** The engine's questions, for screens. */
export { ask, EngineRefusal } from "../engine/client.ts";
