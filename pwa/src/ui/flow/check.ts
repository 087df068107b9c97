import { ask, EngineRefusal } from "../../actions/ask.ts";
import { makeCheck } from "../../actions/checks.ts";
import { correctEntry } from "../../actions/corrections.ts";
import type { Kept } from "../../actions/keep.ts";
import type { Body } from "../../engine/types.ts";
import { openBlade } from "../../state/blades.ts";
import { go } from "../../state/route.ts";
import { CHECK_FORMS, type CheckField } from "../check_forms.ts";
import { entered } from "../number_entry.ts";
import { checkDefaults, defaultsFor } from "../perform.ts";
import { kindOfName, scaleOf, shownNumber } from "../units.ts";
import { endForm, type Form, formFor, textIn, type Values } from "./form.ts";

/** One place the pad writes into. */
interface NumberName {
  readonly name: string;
  readonly field: CheckField;
  readonly optional: true | undefined;
}

/** The names the pad steps through: a list of readings has one name for each, and one more once all have been read. */
export function numberNames(fields: readonly CheckField[], form?: Form): readonly NumberName[] {
  return fields.flatMap((field): readonly NumberName[] => {
    if (field.kind === "number") return [{ name: field.name, field, optional: field.optional }];
    if (field.kind !== "numbers") return [];
    const { name, count, most = count } = field;
    const all = Array.from({ length: most }, (_, at) => `${name}.${at + 1}`);
    const read = form ? all.filter((one) => textIn(form, one)).length : 0;
    const shown = Math.min(most, Math.max(count, read + Number(read >= count)));
    return all.slice(0, shown).map((one, at) => ({ name: one, field, optional: at >= count || undefined }));
  });
}

export function shownText(name: string, value: unknown): string {
  if (typeof value === "number") return shownNumber(value, kindOfName(name), undefined);
  if (typeof value === "boolean") return value ? "yes" : "no";
  return value === null || value === undefined ? "" : String(value);
}

/** What stands in a field at first, under the names the form knows it by. */
function firstOf(field: CheckField, value: unknown): readonly (readonly [string, string])[] {
  if (value === undefined) return [];
  if (Array.isArray(value)) return value.map((one, at) => [`${field.name}.${at + 1}`, shownText(field.name, one)]);
  return [[field.name, field.kind === "pick" ? String(value) : shownText(field.name, value)]];
}

function firstValues(fields: readonly CheckField[], body: Body): Values {
  return Object.fromEntries(fields.flatMap((field) => firstOf(field, body[field.name])));
}

/** What a check begins with: what the corrected entry says, else what the action that opened it brings. */
export function beginning(check: string, entry_id: string | undefined): Body {
  const blade = openBlade.value;
  const old = blade?.entries.find(({ id }) => id === entry_id);
  return old?.body ?? defaultsFor(blade?.fold ?? null, check);
}

export function formOf(key: string, entry_id: string | undefined, first: Values, at: string | undefined): Form {
  return formFor(`check:${key}${entry_id ? `:${entry_id}` : ""}`, first, at);
}

/** The form of one check of one blade; correcting an entry starts from what it says. */
export function checkForm(piece_id: string, check: string, entry_id: string | undefined): Form {
  const fields = CHECK_FORMS[check] ?? [];
  const first = firstValues(fields, beginning(check, entry_id));
  return formOf(`${piece_id}:${check}`, entry_id, first, numberNames(fields)[0]?.name);
}

type Read = { readonly value?: unknown; readonly missing?: string };

/** A typed number in SI; undefined when it is empty, wrong or could mean two things. */
export function storedNumber(form: Form, name: string): number | undefined {
  const typed = entered(textIn(form, name));
  return typed.is === "number" ? scaleOf(kindOfName(name.replace(/\.\d+$/, ""))).store(typed.value) : undefined;
}

function readNumber(form: Form, field: CheckField & { kind: "number" }): Read {
  const value = storedNumber(form, field.name);
  if (value !== undefined) return { value };
  return field.optional && textIn(form, field.name) === "" ? {} : { missing: field.name };
}

function readNumbers(form: Form, field: CheckField & { kind: "numbers" }): Read {
  const read = numberNames([field], form).map((one) => ({ ...one, value: storedNumber(form, one.name) }));
  const gap = read.find(({ name, optional, value }) => value === undefined && !(optional && textIn(form, name) === ""));
  return gap ? { missing: gap.name } : { value: read.map(({ value }) => value).filter((value) => value !== undefined) };
}

function readChoice(form: Form, field: Exclude<CheckField, { kind: "number" | "numbers" }>): Read {
  const text = textIn(form, field.name);
  if (text === "") return field.kind === "yesno" && field.optional ? {} : { missing: field.name };
  if (field.kind === "yesno") return { value: text === "yes" };
  return { value: field.kind === "pick" && field.numeric ? Number(text) : text };
}

function readField(form: Form, field: CheckField): Read {
  if (field.kind === "number") return readNumber(form, field);
  return field.kind === "numbers" ? readNumbers(form, field) : readChoice(form, field);
}

/** The first thing that is missing is pointed at, and the pad goes there. */
function pointAt(form: Form, check: string, missing: string): void {
  form.missing.value = missing;
  if (numberNames(CHECK_FORMS[check] ?? [], form).some(({ name }) => name === missing)) form.at.value = missing;
}

function bodyOf(form: Form, check: string, defaults: Body): Body | null {
  const read = (CHECK_FORMS[check] ?? []).map((field) => ({ name: field.name, ...readField(form, field) }));
  const missing = read.find((one) => one.missing !== undefined)?.missing;
  if (missing !== undefined) {
    pointAt(form, check, missing);
    return null;
  }
  const all = { ...defaults, ...Object.fromEntries(read.map(({ name, value }) => [name, value])) };
  return Object.fromEntries(Object.entries(all).filter(([, value]) => value !== undefined));
}

function make(piece_id: string, check: string, body: Body, entry_id: string | undefined): Promise<Kept> {
  if (entry_id) return correctEntry(piece_id, entry_id, { body: { ...body, check } });
  return makeCheck(piece_id, check, body);
}

/** Keep a check; what the engine refuses is said at its field, and nothing typed is lost. */
export function keepBody(piece_id: string, check: string, form: Form, body: Body, entry_id?: string): void {
  const { check: _name, ...values } = body;
  void ask("check_values", { check, body: values })
    .then(() => make(piece_id, check, values, entry_id))
    .then(
      (kept) => {
        if (!kept.kept) return;
        endForm(form);
        checkDefaults.value = null;
        go("blade", piece_id);
      },
      (problem: unknown) => {
        if (!(problem instanceof EngineRefusal)) throw problem;
        form.refusal.value = problem.refusal;
      },
    );
}

export function keepCheck(piece_id: string, check: string, form: Form, entry_id?: string): void {
  const body = bodyOf(form, check, beginning(check, entry_id));
  if (body) keepBody(piece_id, check, form, body, entry_id);
}
