import { useSignal } from "@preact/signals";
import { ask, EngineRefusal } from "../../actions/ask.ts";
import type { Asks, Body, Note } from "../../engine/types.ts";
import { storedNumber } from "../flow/check.ts";
import { formFor, textIn } from "../flow/form.ts";
import { say, words } from "../say.ts";
import { Paper } from "./Fields.tsx";
import { Refused } from "./Sitting.tsx";

/** What only the smith knows, and the engine's answer: a temper that was cut short, a torch, the size of a bath. */
export function Asked({ asks: { question, fields }, facts }: { asks: Asks; facts?: Body }) {
  const answer = useSignal<Note | null>(null);
  const form = formFor(`asks:${location.hash}:${question}`, {});
  const typed = ([kind, name]: (typeof fields)[number]) => {
    if (kind !== "number") return [name, textIn(form, name) || undefined];
    const value = storedNumber(form, name);
    return name.endsWith("_min") && value !== undefined ? [name.replace("_min", "_s"), value * 60] : [name, value];
  };
  const press = () => {
    form.refusal.value = answer.value = null;
    void ask<{ sentence: Note }>(question, { ...facts, ...Object.fromEntries(fields.map(typed)) }).then(
      ({ sentence }) => {
        answer.value = sentence;
      },
      (problem: unknown) => {
        if (!(problem instanceof EngineRefusal)) throw problem;
        form.refusal.value = problem.refusal;
      },
    );
  };
  const refusal = form.refusal.value;
  return (
    <section>
      <Paper form={form} fields={fields} />
      <div class="answers">
        <button type="button" class="plain-button" onClick={press}>
          {say(`asks.${question}`)}
        </button>
      </div>
      {fields.every(([, name]) => name !== refusal?.field) && <Refused refusal={refusal} />}
      {answer.value && (
        <p class="do-now" role="status">
          {words(answer.value)}
        </p>
      )}
    </section>
  );
}
