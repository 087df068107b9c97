import { type Signal, signal } from "@preact/signals";
import { ask, EngineRefusal } from "../../actions/ask.ts";
import type { Body } from "../../engine/types.ts";
import { tell } from "../../state/moment.ts";

export interface KeptAnswer<Answer> {
  readonly answer: Signal<Answer | null>;
  /** Ask again if this is not what was asked last; null: there is nothing to ask. The last answer stands meanwhile. */
  readonly read: (wanted: string | null, facts: () => Body) => Answer | null;
}

/**
 * The answer to one question of a screen, asked for again whenever what it depends on has moved. Asked of what is still
 * being typed, it may be refused: then there is no answer yet.
 */
export function keptAnswer<Answer>(question: string, of_a_draft = false): KeptAnswer<Answer> {
  const answer = signal<Answer | null>(null);
  let asked: string | null = "";
  const read = (wanted: string | null, facts: () => Body) => {
    if (wanted !== asked) {
      asked = wanted;
      if (wanted === null) answer.value = null;
      else
        void ask<Answer>(question, facts()).then(
          (said) => {
            if (wanted === asked) answer.value = said;
          },
          (problem: unknown) => {
            if (of_a_draft && problem instanceof EngineRefusal) answer.value = null;
            else {
              const note = { key: "phone.fold_failed", facts: { reason: String(problem) } };
              tell({ id: question, kind: "warning", note });
            }
          },
        );
    }
    return answer.value;
  };
  return { answer, read };
}
