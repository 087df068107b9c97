import { type Signal, signal } from "@preact/signals";
import { ask } from "../../actions/ask.ts";
import type { Note } from "../../engine/types.ts";

export interface SteelRow {
  readonly designation: string;
  readonly [fact: string]: unknown;
}

export interface SourceRow {
  readonly id: string;
  readonly title: string;
  readonly year?: number | null;
  readonly verified?: string;
}

export interface ModelRow {
  readonly id: string;
  readonly errors: readonly { readonly family: Note; readonly text: Note }[];
}

const asked = new Set<string>();

/** Ask the engine once for a list that does not change while the app runs. */
function readOnce<Rows>(question: string, into: Signal<Rows>): void {
  if (asked.has(question)) return;
  asked.add(question);
  void ask<Rows>(question, {}).then(
    (rows) => {
      into.value = rows;
    },
    () => {
      asked.delete(question);
    },
  );
}

export const steels = signal<unknown>([]);
export const sources = signal<unknown>([]);

/** Rows of a list answer, whether it comes bare or under its name. */
function rowsOf<Row>(answer: unknown, name: string): readonly Row[] {
  if (Array.isArray(answer)) return answer as readonly Row[];
  const inner = (answer as Record<string, unknown> | null)?.[name];
  return Array.isArray(inner) ? (inner as readonly Row[]) : [];
}

export function steelRows(): readonly SteelRow[] {
  readOnce("steels", steels);
  return rowsOf<SteelRow>(steels.value, "steels");
}

const models = signal<unknown>([]);

export function modelRows(): readonly ModelRow[] {
  readOnce("models", models);
  return rowsOf<ModelRow>(models.value, "models");
}

export function sourceRows(): readonly SourceRow[] {
  readOnce("sources", sources);
  return rowsOf<SourceRow>(sources.value, "sources");
}

/** The title of a source; its id where the list is not here yet. */
export function sourceTitle(id: string): string {
  const row = sourceRows().find((source) => source.id === id);
  return row ? [row.title, row.year].filter(Boolean).join(", ") : id;
}
