import { type FoldMore, type FoldRequest, HeldLog } from "./held_log.ts";
import { EngineHost, type WorkerLike } from "./host.ts";
import { packRows } from "./packing.ts";
import type { Body, Entry, FoldAnswer, Refusal, ThingFold } from "./types.ts";

export type { FoldMore, FoldRequest } from "./held_log.ts";

/** The engine said no, and says which field, which value and which range. */
export class EngineRefusal extends Error {
  override readonly name = "EngineRefusal";

  constructor(readonly refusal: Refusal) {
    super(refusal.reason);
  }
}

/** Questions that compute long: they have a worker of their own, so that none stands before a fold. */
const LONG_QUESTION = /card|pictures|will_it|look_back/;
const FOLD_TIME_OUT_MS = 20_000;
const CARD_TIME_OUT_MS = 60_000;

const makeWorker = (name: string): WorkerLike =>
  new Worker(new URL("./worker.ts", import.meta.url), { type: "module", name });
const folder = new EngineHost({ make: () => makeWorker("fold"), time_out_ms: FOLD_TIME_OUT_MS });
const planner = new EngineHost({ make: () => makeWorker("cards"), time_out_ms: CARD_TIME_OUT_MS });
const held = new HeldLog(folder);

/** Release and digest of the engine that answers; the server names its own the same way. */
export const ENGINE_VERSION: string = __ENGINE_VERSION__;

/** Start the fold worker ahead of the first question. Call it after the first paint: it takes a core for a moment. */
export function warmEngine(): void {
  folder.warm();
}

/** Ask one question. Throws `EngineRefusal` when the engine refuses the facts, `EngineBroken` when it fails. */
export async function ask<Answer>(question: string, facts: Body): Promise<Answer> {
  const host = LONG_QUESTION.test(question) ? planner : folder;
  return read<Answer>(await host.call("ask", question, JSON.stringify(facts)));
}

/** Fold one log from its entries. */
export async function fold<Answer = FoldAnswer | ThingFold>(request: FoldRequest): Promise<Answer> {
  const { log_id, entries, ...rest } = request;
  const rows = packRows(entries);
  return read<Answer>(await folder.twice(() => folder.call("foldPacked", log_id, rows, JSON.stringify(rest))));
}

/** Give the worker one log to hold, and fold it. */
export async function foldOpen(request: FoldRequest): Promise<FoldAnswer> {
  return read<FoldAnswer>(await held.open(request));
}

/** Add one entry to the log that the worker holds. Throws when it holds another one. */
export async function foldAppend(more: FoldMore & { readonly entry: Entry }): Promise<FoldAnswer> {
  return read<FoldAnswer>(await held.append(more));
}

/** The same entries, later. */
export async function foldAgain(more: FoldMore): Promise<FoldAnswer> {
  return read<FoldAnswer>(await held.again(more));
}

function read<Answer>(reply: string | number): Answer {
  const payload = JSON.parse(String(reply)) as { answer: Answer; error?: Refusal };
  if (payload.error) throw new EngineRefusal(payload.error);
  return payload.answer;
}
