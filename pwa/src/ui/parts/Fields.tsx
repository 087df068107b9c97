import type { ComponentChildren } from "preact";
import type { PlanField } from "../../engine/types.ts";
import { type Form, setValue, textIn } from "../flow/form.ts";
import { fieldLabel, say, sayOr } from "../say.ts";
import { kindOfName, scaleOf } from "../units.ts";
import { AskBack, padFor } from "./Pad.tsx";
import { Shape } from "./Shape.tsx";
import { Refused } from "./Sitting.tsx";

/** What is wrong with one field stands at the field. */
export function Trouble({ form, name }: { form: Form; name: string }) {
  const refusal = form.refusal.value;
  return (
    <>
      {form.missing.value === name && (
        <p class="refused" role="alert">
          <Shape shape="octagon" />
          {sayOr(`form.missing.${name}`, say("form.missing"))}
        </p>
      )}
      {refusal?.field === name && <Refused refusal={refusal} />}
    </>
  );
}

interface Props {
  readonly form: Form;
  readonly name: string;
  readonly label?: string;
}

type Texts = Props & { readonly type?: "text" | "date"; readonly pad?: true };

export function TextField({ form, name, label = fieldLabel(name), type = "text", pad }: Texts) {
  return (
    <div class="field">
      <label>
        <span class="field-name">{label}</span>
        <input
          type={type as "text"}
          value={textIn(form, name)}
          autoComplete="off"
          {...(pad && padFor(form, name))}
          onInput={(event) => setValue(form, name, event.currentTarget.value)}
        />
      </label>
      <Trouble form={form} name={name} />
    </div>
  );
}

/** A number in the person's unit; a decimal comma is as good as a point. */
export function NumberField({ form, name, label = fieldLabel(name) }: Props) {
  const unit = scaleOf(kindOfName(name)).name;
  return (
    <div class="field">
      <label>
        <span class="field-name">
          {label}
          {unit && <span class="soft">, {unit}</span>}
        </span>
        <input
          autoComplete="off"
          value={textIn(form, name)}
          {...padFor(form, name)}
          onInput={(event) => setValue(form, name, event.currentTarget.value)}
        />
      </label>
      <AskBack form={form} name={name} />
      <Trouble form={form} name={name} />
    </div>
  );
}

type Choices = Props & { readonly choices: readonly string[]; readonly onPick?: (value: string) => void };

export function SelectField(props: Choices) {
  const { form, name, choices, label = fieldLabel(name) } = props;
  const { onPick = (value) => setValue(form, name, value) } = props;
  return (
    <div class="field">
      <label>
        <span class="field-name">{label}</span>
        <select value={textIn(form, name)} onChange={(event) => onPick(event.currentTarget.value)}>
          <option value="">{say("form.choose")}</option>
          {choices.map((choice) => (
            <option key={choice} value={choice}>
              {sayOr(`choice.${choice}`, choice)}
            </option>
          ))}
        </select>
      </label>
      <Trouble form={form} name={name} />
    </div>
  );
}

/** A row of chips of which one is chosen. */
export function ChipField(props: Choices) {
  const { form, name, choices, label = fieldLabel(name) } = props;
  const { onPick = (value) => setValue(form, name, value) } = props;
  return (
    <fieldset class="pick">
      <legend>{label}</legend>
      <div class={`chips ${choices.every((choice) => choice.length < 6) ? "short" : ""}`}>
        {choices.map((choice) => (
          <button
            type="button"
            class="chip"
            key={choice}
            aria-pressed={textIn(form, name) === choice}
            onClick={() => onPick(choice)}
          >
            {sayOr(`choice.${choice}`, choice)}
          </button>
        ))}
      </div>
      <Trouble form={form} name={name} />
    </fieldset>
  );
}

export function YesNo({ form, name }: { form: Form; name: string }) {
  return (
    <fieldset class="yesno">
      <legend>
        {fieldLabel(name)} {form.missing.value === name && <b class="of-stop">{say("form.missing")}</b>}
      </legend>
      {["yes", "no"].map((choice) => (
        <button
          type="button"
          class="chip"
          key={choice}
          aria-pressed={textIn(form, name) === choice}
          onClick={() => setValue(form, name, choice)}
        >
          {say(choice)}
        </button>
      ))}
    </fieldset>
  );
}

/** Fields as data names them. */
export function Paper({ form, fields }: { form: Form; fields: readonly PlanField[] }) {
  return (
    <div class="pair">
      {fields.map(([kind, name, choices = []]) => {
        if (kind === "yesno") return <YesNo key={name} form={form} name={name} />;
        if (kind === "chips") return <ChipField key={name} form={form} name={name} choices={choices} />;
        if (kind === "number") return <NumberField key={name} form={form} name={name} />;
        return <TextField key={name} form={form} name={name} type={kind} />;
      })}
    </div>
  );
}

/** A row with a title and what can be done about it on the right. */
export function Line({ title, small, children }: { title: string; small?: string; children?: ComponentChildren }) {
  return (
    <li class="row-button">
      <span>
        {title}
        {small && <small>{small}</small>}
      </span>
      {children && <span class="end">{children}</span>}
    </li>
  );
}
