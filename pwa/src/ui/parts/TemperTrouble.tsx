import { useSignal } from "@preact/signals";
import { ask, EngineRefusal } from "../../actions/ask.ts";
import type { Body, FoldAnswer, Note } from "../../engine/types.ts";
import { storedNumber } from "../flow/check.ts";
import { formFor } from "../flow/form.ts";
import { say, words } from "../say.ts";
import { NumberField } from "./Fields.tsx";
import { Refused } from "./Sitting.tsx";

/** The question that a finding of the temper asks, and what only the smith knows. */
const QUESTIONS: Readonly<Record<string, readonly [string, ...string[]]>> = {
  power_cut_in_temper: ["power_cut", "held_min", "away_min"],
  temper_overshoot: ["overshoot", "peak_c", "peak_min"],
};

/** A temper that was cut short or ran too hot: the engine says what it counts for. */
export function TemperTrouble({ fold, finding }: { fold: FoldAnswer | null; finding: string }) {
  const answer = useSignal<Note | null>(null);
  const [question, ...names] = QUESTIONS[finding] ?? [];
  const temper = fold?.facts.temper as Body | null | undefined;
  if (!question || !temper) return null;
  const form = formFor(`trouble:${fold?.log_id}:${finding}`, {});
  const press = () => {
    const typed = names.map((name) => {
      const value = storedNumber(form, name);
      return name.endsWith("_min") && value !== undefined ? [name.replace("_min", "_s"), value * 60] : [name, value];
    });
    form.refusal.value = answer.value = null;
    void ask<{ sentence: Note }>(question, { ...temper, ...Object.fromEntries(typed) }).then(
      ({ sentence }) => {
        answer.value = sentence;
      },
      (problem: unknown) => {
        if (!(problem instanceof EngineRefusal)) throw problem;
        form.refusal.value = problem.refusal;
      },
    );
  };
  return (
    <section>
      {names.map((name) => (
        <NumberField key={name} form={form} name={name} />
      ))}
      <div class="answers">
        <button type="button" class="plain-button" onClick={press}>
          {say("trouble.ask")}
        </button>
      </div>
      <Refused refusal={form.refusal.value} />
      {answer.value && (
        <p class="do-now" role="status">
          {words(answer.value)}
        </p>
      )}
    </section>
  );
}
