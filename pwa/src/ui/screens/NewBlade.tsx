import type { ComponentChildren } from "preact";
import { thingsOf } from "../../state/shop.ts";
import { steelRows } from "../flow/catalogue.ts";
import { type Form, setValues, textIn } from "../flow/form.ts";
import {
  asking,
  asLast,
  cardPreview,
  changing,
  chooseBath,
  chooseSteel,
  edgeText,
  keepCard,
  leaveNew,
  lengthen,
  newBladeForm,
  offeredBatch,
  pictures,
  previewCard,
  takeLast,
} from "../flow/new_blade.ts";
import { countOf, NAMES, paperOf } from "../flow/plan_facts.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { CardView } from "../parts/CardView.tsx";
import { ChipField, Paper, SelectField, TextField, Trouble } from "../parts/Fields.tsx";
import { Pictures } from "../parts/Pictures.tsx";
import { Refused, Sitting } from "../parts/Sitting.tsx";
import { FIRST, LAST, MORE, MOST, placeOf, QUENCH, ROWS, rowOf } from "../plan_form.ts";
import { say, words } from "../say.ts";
import { shown } from "../units.ts";

function Baths({ form }: { form: Form }) {
  const baths = thingsOf("bath");
  if (baths.length === 0) return null;
  const pick = (name: string) => {
    const bath = baths.find(({ fold }) => fold.name === name);
    if (bath) chooseBath(form, bath);
  };
  const names = baths.map(({ fold }) => fold.name ?? "");
  return <ChipField form={form} name="bath.name" label={say("field.bath")} choices={names} onPick={pick} />;
}

/** The baths of the quench in order, or the stations along the blade. */
function Rows({ form, list }: { form: Form; list: string }) {
  const count = countOf(form, list);
  const least = list === "quench" ? 1 : 0;
  const most = MOST[list] ?? 0;
  return (
    <>
      {Array.from({ length: count }, (_, at) => (
        <fieldset class="pick" key={`${list}.${at}`}>
          <legend>{say(`new.row.${list}`, { n: at + 1 })}</legend>
          <Paper form={form} fields={rowOf(list, at)} />
        </fieldset>
      ))}
      <Trouble form={form} name={list} />
      <div class="answers side">
        <button type="button" class="plain-button" disabled={count >= most} onClick={() => lengthen(form, list, 1)}>
          {say(`new.add.${list}`)}
        </button>
        <button type="button" class="plain-button" disabled={count <= least} onClick={() => lengthen(form, list, -1)}>
          {say("new.less")}
        </button>
      </div>
    </>
  );
}

function Part({ form, name, children }: { form: Form; name: string; children: ComponentChildren }) {
  return (
    <details>
      <summary class="row-button">{say(`new.part.${name}`)}</summary>
      {children}
      {!ROWS[name] && <Trouble form={form} name={name} />}
    </details>
  );
}

function More({ form, steels }: { form: Form; steels: readonly string[] }) {
  return (
    <details>
      <summary class="row-button">{say("new.rarer")}</summary>
      <div class="inner">
        {Object.entries(MORE).map(([name, fields]) => (
          <Part key={name} form={form} name={name}>
            {name === "composition" && <SelectField form={form} name="steels" choices={steels} />}
            <Paper form={form} fields={fields} />
          </Part>
        ))}
        {Object.keys(ROWS).map((list) => (
          <Part key={list} form={form} name={list}>
            <Rows form={form} list={list} />
          </Part>
        ))}
      </div>
    </details>
  );
}

/** What the last blade of this steel was made with, one press away. */
function AsLast({ form }: { form: Form }) {
  const facts = asLast.value;
  if (!facts) return null;
  const paper = paperOf(facts);
  const what = [
    shown(Number(facts.thickness_mm), "length"),
    say(`choice.${paper["quench.0.medium"]}`),
    facts.target_hrc ? shown(Number(facts.target_hrc), "hrc") : "",
  ];
  return (
    <Offer label={say("new.as_last", { what: what.filter(Boolean).join(", ") })} take={() => takeLast(form, facts)} />
  );
}

function Offer({ label, take }: { label: string; take: () => void }) {
  return (
    <div class="answers">
      <button type="button" class="plain-button" onClick={take}>
        {label}
      </button>
    </div>
  );
}

/** The open batch and its next free letter, one press away. */
function IntoBatch({ form }: { form: Form }) {
  const { batch, letter } = offeredBatch() ?? {};
  if (!batch || !letter || textIn(form, "batch")) return null;
  return <Offer label={say("new.batch", { batch, letter })} take={() => setValues(form, { batch, letter })} />;
}

/** The edge to leave, while the heats are being planned and beside the card. */
function Edge({ form }: { form: Form }) {
  const text = edgeText(form);
  return text && <p role="status">{words(text)}</p>;
}

function Facts({ form }: { form: Form }) {
  const steels = steelRows().map(({ designation }) => designation);
  const refusal = form.refusal.value;
  return (
    <Sitting
      title={say(changing.value ? "new.change_title" : "new.title")}
      backTo={changing.value ? ["card", changing.value.piece_id] : ["blades"]}
      onBack={() => changing.value && leaveNew(form)}
      foot={
        <>
          <Refused refusal={refusal && !placeOf(refusal.field) ? refusal : null} />
          <ActionButton
            label={say(asking.value ? "new.asking" : "new.ask")}
            disabled={asking.value}
            onPress={() => previewCard(form)}
          />
        </>
      }
    >
      {!changing.value && (
        <>
          <div class="pair">
            {NAMES.map((name) => (
              <TextField key={name} form={form} name={name} />
            ))}
          </div>
          <IntoBatch form={form} />
        </>
      )}
      <SelectField
        form={form}
        name="steel"
        choices={[...steels, "unknown"]}
        onPick={(steel) => chooseSteel(form, steel)}
      />
      <AsLast form={form} />
      <Paper form={form} fields={FIRST} />
      <Edge form={form} />
      <Baths form={form} />
      <Paper form={form} fields={[...QUENCH, ...LAST]} />
      <More form={form} steels={steels} />
    </Sitting>
  );
}

/** A new blade: the facts, then the card they make, then work. */
export function NewBlade() {
  const form = newBladeForm();
  const card = cardPreview.value;
  if (!card) return <Facts form={form} />;
  const change = () => {
    cardPreview.value = null;
  };
  return (
    <Sitting
      title={`${textIn(form, "tag")} · ${textIn(form, "steel")}`}
      backTo={["blades"]}
      foot={
        <>
          <ActionButton label={say(changing.value ? "new.replace" : "new.make")} onPress={() => keepCard(form, card)} />
          <button type="button" class="plain-button" onClick={change}>
            {say("new.change")}
          </button>
        </>
      }
    >
      <CardView card={card}>
        <Edge form={form} />
        {pictures.value ? <Pictures of={pictures.value} /> : <p class="note-text">{say("new.asking")}</p>}
      </CardView>
    </Sitting>
  );
}
