import { type Signal, signal } from "@preact/signals";
import { dropDraft, loadDraft, saveDraft } from "../../actions/drafts.ts";
import type { Refusal } from "../../engine/types.ts";

export type Values = Readonly<Record<string, string>>;

/** What is being typed on one screen: kept as a draft at each stroke, so that nothing typed is lost. */
export interface Form {
  readonly key: string;
  readonly values: Signal<Values>;
  /** The number field that the pad writes into. */
  readonly at: Signal<string>;
  readonly refusal: Signal<Refusal | null>;
  /** The field that is still missing, once "keep" was pressed without it. */
  readonly missing: Signal<string | null>;
}

/** The form whose number field has the pad on a sitting screen; null: none. */
export const padForm = signal<Form | null>(null);

const forms = new Map<string, Form>();

/** What was typed already, while its draft was still being read, stands. */
function fill(form: Form, first: Values, draft: Values): void {
  const typed = Object.entries(form.values.peek()).filter(([name, text]) => text !== (first[name] ?? ""));
  form.values.value = { ...form.values.peek(), ...draft, ...Object.fromEntries(typed) };
}

/** The form of this key, made with its first values, then filled from its draft. */
export function formFor(key: string, first: Values, at = ""): Form {
  const known = forms.get(key);
  if (known) return known;
  const form: Form = {
    key,
    values: signal(first),
    at: signal(at),
    refusal: signal(null),
    missing: signal(null),
  };
  forms.set(key, form);
  void loadDraft<Values>(key).then((draft) => {
    if (draft) fill(form, first, draft);
  });
  return form;
}

export function textIn(form: Form, name: string): string {
  return form.values.value[name] ?? "";
}

export function setValue(form: Form, name: string, text: string): void {
  form.values.value = { ...form.values.value, [name]: text };
  if (form.refusal.value?.field.startsWith(name)) form.refusal.value = null;
  if (form.missing.value === name) form.missing.value = null;
  void saveDraft(form.key, form.values.value);
}

/** Fill many fields at once. */
export function setValues(form: Form, values: Values): void {
  form.values.value = { ...form.values.value, ...values };
  void saveDraft(form.key, form.values.value);
}

/** Kept or given up: the draft goes, and the next visit starts afresh. */
export function endForm(form: Form): void {
  forms.delete(form.key);
  void dropDraft(form.key);
}
