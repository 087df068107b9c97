import { PAD_KEYS, PAD_NAMES } from "../check_forms.ts";
import { type Form, padForm, setValue, textIn } from "../flow/form.ts";
import { entered, pressed } from "../number_entry.ts";
import { say } from "../say.ts";
import { scaleOf, type UnitKind } from "../units.ts";

/** A press on a button outlasts the field that it left: the button must not move meanwhile. */
const LEFT_MS = 300;

function Back() {
  return (
    <svg width="40" height="30" viewBox="0 0 40 30" aria-hidden="true">
      <path d="M13 2h24v26H13L3 15ZM19 10l10 10M29 10 19 20" fill="none" stroke="currentColor" stroke-width="3.5" />
    </svg>
  );
}

const FIELDS = ".field input[inputmode=none]:not(details:not([open]) *)";
/** The field that is typed into, also while a key of the pad has the focus. */
let held: HTMLElement | null = null;

/** From one field to the next that is in sight; after the last one the pad goes. */
function toNext(): void {
  const fields = [...document.querySelectorAll<HTMLElement>(FIELDS)];
  const next = fields[fields.indexOf(held as HTMLElement) + 1];
  if (next) next.focus();
  else held?.blur();
}

function dropPad(): void {
  if (!document.activeElement?.matches(`${FIELDS},.pad *`)) padForm.value = null;
}

/** The pad of a sitting screen, as long as one of its number fields has the focus. */
export function FieldPad() {
  const form = padForm.value;
  return form && <Pad form={form} next />;
}

/** Take the pad, and stand where it leaves room; a field that is left gives it up, if no other took it. */
export function padFor(form: Form, name: string) {
  return {
    inputMode: "none" as const,
    onFocus: ({ currentTarget }: { currentTarget: HTMLElement }) => {
      held = currentTarget;
      form.at.value = name;
      padForm.value = form;
      requestAnimationFrame(() => currentTarget.scrollIntoView?.({ block: "nearest" }));
    },
    onBlur: () => setTimeout(dropPad, LEFT_MS),
  };
}

/** Keys for a wet thumb; a real keyboard writes into the field itself. A key that is pressed takes no focus from it. */
export function Pad({ form, next = false }: { form: Form; next?: boolean }) {
  const name = form.at.value;
  return (
    <fieldset class={`pad ${next ? "goes-on" : ""}`} onMouseDown={(event) => event.preventDefault()}>
      <legend class="unseen">{say("pad.keys")}</legend>
      {PAD_KEYS.map((key) => (
        <button
          type="button"
          key={key}
          class={`key-${key === "," ? "comma" : key}`}
          aria-label={PAD_NAMES[key] ? say(PAD_NAMES[key]) : key}
          onClick={() => setValue(form, name, pressed(textIn(form, name), key))}
        >
          {key === "back" ? <Back /> : key === "sign" ? "±" : key}
        </button>
      ))}
      {next && (
        <button type="button" class="word-key key-next" onClick={toNext}>
          {say("next")}
        </button>
      )}
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
