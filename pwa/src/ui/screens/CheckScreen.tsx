import { go } from "../../state/route.ts";
import { CHECK_FORMS, type CheckField } from "../check_forms.ts";
import { checkForm, keepCheck, numberNames } from "../flow/check.ts";
import { type Form, setValue, textIn } from "../flow/form.ts";
import { entered } from "../number_entry.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { ChipField, YesNo } from "../parts/Fields.tsx";
import { AskBack, Pad, PadValue } from "../parts/Pad.tsx";
import { PeopleStrip } from "../parts/PeopleStrip.tsx";
import { Refused } from "../parts/Sitting.tsx";
import { say } from "../say.ts";
import { kindOfName, scaleOf } from "../units.ts";

/** One place of several for the pad; the one it writes into takes a real keyboard too. */
export function Tile({ form, name, label }: { form: Form; name: string; label: string }) {
  if (form.at.value === name) {
    return (
      <label class="station pad-value" aria-current="true" ref={(tile) => tile?.scrollIntoView?.({ block: "nearest" })}>
        <small>{label}</small>
        <input
          inputMode="none"
          autoComplete="off"
          value={textIn(form, name)}
          onInput={(event) => setValue(form, name, event.currentTarget.value)}
        />
      </label>
    );
  }
  const choose = () => {
    form.at.value = name;
  };
  return (
    <button type="button" class="station" onClick={choose}>
      <small>{label}</small>
      {textIn(form, name) || "–"}
    </button>
  );
}

/** What the pad writes: one large value, or a place for each of several. */
function Typed({ form, names }: { form: Form; names: readonly string[] }) {
  const [only] = names;
  if (only === undefined) return null;
  if (names.length === 1) return <PadValue form={form} kind={kindOfName(only)} label={tileName(only)} />;
  return (
    <>
      <div class="station-list">
        {names.map((name) => (
          <Tile key={name} form={form} name={name} label={tileName(name)} />
        ))}
      </div>
      <AskBack form={form} name={form.at.value} />
    </>
  );
}

export function tileName(name: string): string {
  const [field = "", at] = name.split(".");
  const unit = scaleOf(kindOfName(field)).name;
  return at ? say("field.nth", { at, unit }) : [say(`field.${field}`), unit].filter(Boolean).join(", ");
}

/** Step to the next number that is still empty; none: keep. */
export function nextEmpty(form: Form, names: readonly string[]): string | undefined {
  const at = names.indexOf(form.at.value);
  const around = [...names.slice(at + 1), ...names.slice(0, at)];
  return around.find((name) => entered(textIn(form, name)).is === "empty");
}

function Field({ form, field }: { form: Form; field: CheckField }) {
  if (field.kind === "yesno") return <YesNo form={form} name={field.name} />;
  if (field.kind !== "pick") return null;
  return <ChipField form={form} name={field.name} choices={field.choices} />;
}

interface Props {
  readonly piece_id: string;
  readonly check: string;
  readonly entry_id: string | undefined;
}

/** One check: big choices, or the pad. It makes the entry and goes back. */
export function CheckScreen({ piece_id, check, entry_id }: Props) {
  const fields = CHECK_FORMS[check] ?? [];
  const form = checkForm(piece_id, check, entry_id);
  const answer = fields.find((field) => field.kind === "answer");
  const keep = () => keepCheck(piece_id, check, form, entry_id);
  const numbers = numberNames(fields, form);
  const names = numbers.map(({ name }) => name);
  const wanted = numbers.filter(({ optional }) => !optional);
  const next = nextEmpty(
    form,
    wanted.map(({ name }) => name),
  );
  const step = () => {
    if (next !== undefined && entered(textIn(form, form.at.value)).is === "number") form.at.value = next;
    else keep();
  };
  return (
    <main class={`check-screen ${names.length > 0 && fields.length > 2 ? "dense" : ""}`}>
      <PeopleStrip label={say("back")} icon="back" onLabel={() => go("blade", piece_id)} />
      <div class="ask">
        <h1>{say(`check.${check}`)}</h1>
        {fields.map((field) => (
          <Field key={field.name} form={form} field={field} />
        ))}
        <Typed form={form} names={names} />
        <Refused refusal={form.refusal.value} />
      </div>
      <div class="keys">
        {names.length > 0 && <Pad form={form} />}
        <div class={`do ${answer?.kind === "answer" && answer.choices.length > 4 ? "two-up" : ""}`}>
          {answer?.kind === "answer" ? (
            answer.choices.map((choice) => (
              <button
                type="button"
                class="answer"
                key={choice}
                onClick={() => {
                  setValue(form, answer.name, choice);
                  keep();
                }}
              >
                {say(`choice.${choice}`)}
              </button>
            ))
          ) : (
            <ActionButton label={say(next === undefined ? "keep" : "next")} onPress={step} />
          )}
        </div>
      </div>
    </main>
  );
}
