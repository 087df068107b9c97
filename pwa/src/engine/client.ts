import type { Body, Entry, FoldAnswer, LogKind, Refusal, ThingFold } from "./types.ts";

/** The engine said no, and says which field, which value and which range. */
export class EngineRefusal extends Error {
  constructor(readonly refusal: Refusal) {
    super(refusal.reason);
    this.name = "EngineRefusal";
  }
}

/** Release and digest of the engine that answers. */
export function engineVersion(): Promise<string> {
  return Promise.resolve("server");
}

/** Ask one question. Throws `EngineRefusal` when the engine refuses the facts. */
export async function ask<Answer>(question: string, facts: Body): Promise<Answer> {
  const reply = await fetch(`/api/ask/${question}`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(facts),
  });
  const payload = (await reply.json()) as { answer?: Answer; error?: Refusal };
  if (payload.error) throw new EngineRefusal(payload.error);
  return payload.answer as Answer;
}

export interface FoldRequest {
  readonly log_kind: LogKind;
  readonly log_id: string;
  readonly entries: readonly Entry[];
  readonly related?: Body;
  readonly now_ms: number;
}

/** Fold one log from its entries. */
export function fold<Answer = FoldAnswer | ThingFold>(request: FoldRequest): Promise<Answer> {
  return ask<Answer>("fold", { ...request });
}
