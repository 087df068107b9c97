import type { FactValue, Note } from "../engine/types.ts";
import table from "virtual:words";

export function render(note: Note): string {
  const text = table[note.key];
  const facts = note.facts ?? {};
  if (text === undefined) return note.key.startsWith("say:") ? note.key.slice(4) : `[${note.key}]`;
  const sentence = typeof text === "string" ? text : facts.n === 1 ? text.one : text.other;
  return sentence.replace(/\{(\w+)\}/g, (_, name: string) => one(facts[name]));
}
function one(value: FactValue | undefined): string {
  if (value !== null && typeof value === "object" && "key" in value) return render(value as Note);
  return String(value ?? "");
}
