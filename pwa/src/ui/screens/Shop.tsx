import { changeThing, checkThing, newThing } from "../../actions/things.ts";
import type { LogKind } from "../../engine/types.ts";
import { type Thing, thingsOf } from "../../state/shop.ts";
import { BATH_SIZE, LOOKED_AFTER, MEDIA, NUMBERS } from "../check_forms.ts";
import { fieldName } from "../entry_text.ts";
import { shownText, storedNumber } from "../flow/check.ts";
import { endForm, type Form, formFor, textIn } from "../flow/form.ts";
import { Asked } from "../parts/Asked.tsx";
import { ChipField, NumberField, TextField } from "../parts/Fields.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say } from "../say.ts";
import { kindOfName, shown } from "../units.ts";

/** In the order of the form: a range begins with its beginning. */
function factsText(kind: string, { fold: { facts } }: Thing): string {
  return (NUMBERS[kind] ?? [])
    .map(storedName)
    .filter((name) => typeof facts[name] === "number")
    .map((name) => `${fieldName(name)} ${shown(facts[name] as number, kindOfName(name))}`)
    .join(", ");
}

function storedName(name: string): string {
  return name === "litres_l" ? "litres" : name;
}

function factsIn(form: Form, names: readonly string[]): Record<string, unknown> {
  const found = names.map((name) => [storedName(name), storedNumber(form, name)] as const);
  return Object.fromEntries(found.filter(([, value]) => value !== undefined));
}

function keepThing(kind: LogKind, form: Form): void {
  const body: Record<string, unknown> = { name: textIn(form, "name").trim() };
  if (kind === "bath") body.medium = textIn(form, "medium");
  Object.assign(body, factsIn(form, NUMBERS[kind] ?? []));
  void newThing(kind, body).then((kept) => {
    if (kept.kept) endForm(form);
  });
}

function Reading({ kind, thing }: { kind: "bath" | "oven"; thing: Thing }) {
  const form = formFor(`reading:${thing.log_id}`, { temperature_c: "" });
  const keep = () => {
    const temperature_c = storedNumber(form, "temperature_c");
    if (temperature_c === undefined) return;
    void checkThing(kind, thing.log_id, `${kind}_temperature`, { temperature_c }).then((kept) => {
      if (kept.kept) endForm(form);
    });
  };
  return (
    <details>
      <summary class="row-button">
        <span>
          {thing.fold.name ?? say(`shop.${kind}`)}
          <small>{factsText(kind, thing)}</small>
        </span>
      </summary>
      <NumberField form={form} name="temperature_c" />
      <div class="answers">
        <button type="button" class="plain-button go" onClick={keep}>
          {say("keep")}
        </button>
        <button
          type="button"
          class="plain-button"
          onClick={() => void checkThing(kind, thing.log_id, LOOKED_AFTER[kind] ?? "", {})}
        >
          {say(`shop.${LOOKED_AFTER[kind]}`)}
        </button>
      </div>
      <Facts kind={kind} thing={thing} />
    </details>
  );
}

/** Put a bath's or an oven's own facts right. */
function Facts({ kind, thing }: { kind: "bath" | "oven"; thing: Thing }) {
  const names = NUMBERS[kind] ?? [];
  const first = names.map((name) => [name, shownText(name, thing.fold.facts[storedName(name)])] as const);
  const form = formFor(`change:${thing.log_id}`, Object.fromEntries(first));
  const keep = () => {
    void changeThing(kind, thing.log_id, factsIn(form, names)).then((kept) => {
      if (kept.kept) endForm(form);
    });
  };
  return (
    <details>
      <summary class="row-button">{say("shop.change")}</summary>
      {names.map((name) => (
        <NumberField key={name} form={form} name={name} />
      ))}
      <div class="answers">
        <button type="button" class="plain-button go" onClick={keep}>
          {say("keep")}
        </button>
      </div>
    </details>
  );
}

function Kind({ kind }: { kind: "bath" | "oven" }) {
  const form = formFor(`new:${kind}`, { name: "", medium: "fast_oil" });
  return (
    <>
      <h2>{say(`shop.${kind}s`)}</h2>
      {thingsOf(kind).map((thing) => (
        <Reading key={thing.log_id} kind={kind} thing={thing} />
      ))}
      <details>
        <summary class="row-button">{say(`shop.new_${kind}`)}</summary>
        <TextField form={form} name="name" />
        {kind === "bath" && <ChipField form={form} name="medium" choices={MEDIA} />}
        {(NUMBERS[kind] ?? []).map((name) => (
          <NumberField key={name} form={form} name={name} />
        ))}
        <div class="answers">
          <button
            type="button"
            class="plain-button go"
            disabled={!textIn(form, "name").trim()}
            onClick={() => keepThing(kind, form)}
          >
            {say("keep")}
          </button>
        </div>
      </details>
    </>
  );
}

/** Baths and ovens: what the cards and stop points ask about. */
export function Shop() {
  return (
    <Sitting title={say("shop.title")} backTo={["settings"]}>
      <Kind kind="bath" />
      <details>
        <summary class="row-button">{say("shop.bath_size")}</summary>
        <Asked asks={BATH_SIZE} />
      </details>
      <Kind kind="oven" />
    </Sitting>
  );
}
