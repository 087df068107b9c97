import { type Form, setValue, textIn } from "../flow/form.ts";
import { entered, pressed } from "../number_entry.ts";
import { say } from "../say.ts";
import { scaleOf, type UnitKind } from "../units.ts";

const KEYS = ["1", "2", "3", "back", "4", "5", "6", "7", "8", "9", "sign", ",", "0"];
const FACES: Readonly<Record<string, string>> = { back: "⌫", sign: "±" };
const NAMES: Readonly<Record<string, string>> = { back: "pad.back", sign: "pad.sign", ",": "pad.comma" };

function Back() {
  return (
    <svg width="40" height="30" viewBox="0 0 40 30" aria-hidden="true">
      <path d="M13 2h24v26H13L3 15ZM19 10l10 10M29 10 19 20" fill="none" stroke="currentColor" stroke-width="3.5" />
    </svg>
  );
}

/** Keys for a wet thumb; a real keyboard writes into the field itself. */
export function Pad({ form }: { form: Form }) {
  const name = form.at.value;
  return (
    <fieldset class="pad">
      <legend class="unseen">{say("pad.keys")}</legend>
      {KEYS.map((key) => (
        <button
          type="button"
          key={key}
          class={`key-${key === "," ? "comma" : key}`}
          aria-label={NAMES[key] ? say(NAMES[key]) : key}
          onClick={() => setValue(form, name, pressed(textIn(form, name), key))}
        >
          {key === "back" ? <Back /> : (FACES[key] ?? key)}
        </button>
      ))}
    </fieldset>
  );
}

/** The value being typed, large; what could mean two things is asked back. */
export function PadValue({ form, kind, label }: { form: Form; kind: UnitKind; label: string }) {
  const name = form.at.value;
  const text = textIn(form, name);
  return (
    <>
      <label class="pad-value">
        <span class="unseen">{label}</span>
        <input
          inputMode="none"
          autoComplete="off"
          enterKeyHint="next"
          size={Math.max(2, text.length)}
          value={text}
          onInput={(event) => setValue(form, name, event.currentTarget.value)}
        />
        <span class="unit">{scaleOf(kind).name}</span>
      </label>
      <AskBack form={form} name={name} />
    </>
  );
}

/** `1,250` read both ways: the person says which. */
export function AskBack({ form, name }: { form: Form; name: string }) {
  const typed = entered(textIn(form, name));
  if (typed.is === "wrong") {
    return (
      <p class="ask-back" role="alert">
        {say("pad.wrong")}
      </p>
    );
  }
  if (typed.is !== "either") return null;
  return (
    <p class="ask-back" role="alert">
      {say("pad.which")}
      {typed.values.map((value) => (
        <button type="button" class="plain-button" key={value} onClick={() => setValue(form, name, String(value))}>
          {value}
        </button>
      ))}
    </p>
  );
}
