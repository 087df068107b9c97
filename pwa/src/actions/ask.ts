/** The engine's questions, for screens. */
export { ask, ENGINE_VERSION, EngineRefusal } from "../engine/client.ts";
