import { changeThing, checkThing, newThing } from "../../actions/things.ts";
import { type Thing, thingsOf } from "../../state/shop.ts";
import { BATH_SIZE, LOOKED_AFTER, THINGS, type ThingKind } from "../check_forms.ts";
import { fieldName } from "../entry_text.ts";
import { shownText, storedNumber } from "../flow/check.ts";
import { endForm, formFor, textIn } from "../flow/form.ts";
import { Asked } from "../parts/Asked.tsx";
import { NumberField, Paper } from "../parts/Fields.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say, sayOr } from "../say.ts";
import { dayText } from "../time_text.ts";
import { kindOfName, shown } from "../units.ts";

/** Of the instruments only this one is held to a block; the others have a date. */
const HELD = "hardness_tester";

/** One fact of a thing in words. */
function factText(of: string, name: string, value: unknown): string {
  if (typeof value === "number") return `${fieldName(name)} ${shown(value, kindOfName(name))}`;
  if (of === "date" && value) return `${fieldName(name)} ${value}`;
  return of === "chips" && value ? sayOr(`choice.${value}`, String(value)) : "";
}

/** What is known of a thing, then what was last read or looked at and when. */
function factsText(kind: ThingKind, { fold: { facts, last } }: Thing): string {
  const known = THINGS[kind].map(([of, name]) => factText(of, name, facts[name]));
  const read = last.map(
    ({ check, temperature_c, happened_ms }) =>
      `${sayOr(`shop.${check}`, say(`check.${check}`))} ${typeof temperature_c === "number" ? shown(temperature_c, "temperature") : ""} ${dayText(Number(happened_ms))}`,
  );
  return [...known, ...read].filter(Boolean).join(", ");
}

/** A new thing, or the facts of one put right. */
function Edit({ kind, thing }: { kind: ThingKind; thing?: Thing }) {
  const fields = THINGS[kind];
  const facts = thing?.fold.facts ?? { medium: "fast_oil" };
  const first = fields.map(([, name]) => [name, shownText(name, facts[name])]);
  const form = formFor(`thing:${thing?.log_id ?? kind}`, Object.fromEntries(first));
  const keep = () => {
    const told = fields.map(([of, name]) => [name, of === "number" ? storedNumber(form, name) : textIn(form, name)]);
    const body = Object.fromEntries(told.filter(([, value]) => value !== undefined && value !== ""));
    void (thing ? changeThing(kind, thing.log_id, body) : newThing(kind, body)).then(({ kept }) => {
      if (kept) endForm(form);
    });
  };
  return (
    <details>
      <summary class="row-button">{say(thing ? "shop.change" : `shop.new_${kind}`)}</summary>
      <Paper form={form} fields={fields} />
      <div class="answers">
        <button type="button" class="plain-button go" disabled={!textIn(form, "name").trim()} onClick={keep}>
          {say("keep")}
        </button>
      </div>
    </details>
  );
}

function Reading({ kind, thing }: { kind: ThingKind; thing: Thing }) {
  const form = formFor(`reading:${thing.log_id}`, {});
  const check = (name: string, body: Record<string, unknown>) =>
    void checkThing(kind, thing.log_id, name, body).then(({ kept }) => {
      if (kept) endForm(form);
    });
  const keep = () => {
    const temperature_c = storedNumber(form, "temperature_c");
    if (temperature_c !== undefined) check(`${kind}_temperature`, { temperature_c });
  };
  const { name, facts } = thing.fold;
  const read = kind !== "instrument";
  return (
    <details>
      <summary class="row-button">
        <span>
          {name ?? say(`shop.${kind}`)}
          <small>{factsText(kind, thing)}</small>
        </span>
      </summary>
      {read && <NumberField form={form} name="temperature_c" />}
      <div class="answers">
        {read && (
          <button type="button" class="plain-button go" onClick={keep}>
            {say("keep")}
          </button>
        )}
        {(read || facts.what === HELD) && (
          <button type="button" class="plain-button" onClick={() => check(LOOKED_AFTER[kind], {})}>
            {say(`shop.${LOOKED_AFTER[kind]}`)}
          </button>
        )}
      </div>
      <Edit kind={kind} thing={thing} />
    </details>
  );
}

function Things({ kind }: { kind: ThingKind }) {
  return (
    <>
      <h2>{say(`shop.${kind}s`)}</h2>
      {thingsOf(kind).map((thing) => (
        <Reading key={thing.log_id} kind={kind} thing={thing} />
      ))}
      <Edit kind={kind} />
    </>
  );
}

/** Baths, ovens, testers and what has a date: what the cards and stop points ask about. */
export function Shop() {
  return (
    <Sitting title={say("shop.title")} backTo={["settings"]}>
      <Things kind="bath" />
      <details>
        <summary class="row-button">{say("shop.bath_size")}</summary>
        <Asked asks={BATH_SIZE} />
      </details>
      <Things kind="oven" />
      <Things kind="instrument" />
    </Sitting>
  );
}
