import { useState } from "preact/hooks";
import { changePerson, setPerson } from "../../actions/person.ts";
import { update } from "../../state/moment.ts";
import { outbox } from "../../state/outbox.ts";
import { members, type Person, person } from "../../state/person.ts";
import { go } from "../../state/route.ts";
import { textIn } from "../flow/form.ts";
import { keepPerson, newPersonForm } from "../flow/people_forms.ts";
import { TextField } from "../parts/Fields.tsx";
import { UpdateLine } from "../parts/Overlays.tsx";
import { OnOff, Setting } from "../parts/Setting.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say } from "../say.ts";
import { voice } from "../speech.ts";
import { AlarmSettings } from "./AlarmSettings.tsx";
import { onlyHere } from "./Blades.tsx";
import { SyncSettings } from "./SyncSettings.tsx";

type Changes = Readonly<Record<string, Partial<Omit<Person, "member_id">>>>;

const TEMPERATURES: Changes = { c: { temperature_unit: "c" }, f: { temperature_unit: "f" } };
const LENGTHS: Changes = { mm: { length_unit: "mm" }, thou: { length_unit: "thou" } };
const THEMES: Changes = { day: { theme: "day" }, night: { theme: "night" }, auto: { theme: "auto" } };
const HANDS: Changes = { left: { hand: "left" }, right: { hand: "right" } };

function Mine() {
  const { temperature_unit, length_unit, theme, hand } = person.value;
  const choices = (values: Changes, now: string) =>
    Object.entries(values).map(([value, change]) => ({
      value,
      on: value === now,
      press: () => void changePerson(change),
    }));
  return (
    <>
      <Setting name="temperature_unit" choices={choices(TEMPERATURES, temperature_unit)} />
      <Setting name="length_unit" choices={choices(LENGTHS, length_unit)} />
      <Setting name="theme" choices={choices(THEMES, theme)} />
      <Setting name="hand" choices={choices(HANDS, hand)} />
    </>
  );
}

function WhoHolds() {
  const form = newPersonForm();
  // Asked once: a person who comes in from another phone must not shut the form under somebody's thumb.
  const [nobody, setNobody] = useState(members.value.length === 0);
  return (
    <>
      <h2>{say("set.who")}</h2>
      <div class="chips">
        {members.value.map(({ member_id, initials, name }) => (
          <button
            type="button"
            class="chip"
            key={member_id}
            aria-pressed={member_id === person.value.member_id}
            aria-label={name}
            onClick={() => void setPerson(member_id)}
          >
            {initials}
          </button>
        ))}
      </div>
      <details open={nobody}>
        <summary class="row-button">{say("set.new_person")}</summary>
        <TextField form={form} name="person_name" />
        <TextField form={form} name="initials" />
        <div class="answers">
          <button
            type="button"
            class="plain-button go"
            disabled={!textIn(form, "initials")}
            onClick={() => {
              keepPerson(form);
              setNobody(false);
            }}
          >
            {say("keep")}
          </button>
        </div>
      </details>
    </>
  );
}

/** Who holds the phone, its units and light, its alarms, and where its entries go. */
export function Settings() {
  return (
    <Sitting title={say("set.title")} backTo={["blades"]}>
      <UpdateLine />
      <WhoHolds />
      <Mine />
      <AlarmSettings />
      {voice.value ? <OnOff name="speech_on" /> : <p class="soft">{say("set.no_voice")}</p>}
      <SyncSettings only_here={onlyHere()} state={outbox.value.state} />
      <h2>{say("set.more")}</h2>
      <OnOff name="apprentice_on" />
      <OnOff name="keys_on" />
      <ul class="rows">
        {["card-width", "shop", "what-now", "sources", "notices"].map((name) => (
          <li key={name}>
            <button type="button" class="row-button" onClick={() => go(name)}>
              {say(`set.to.${name}`)}
            </button>
          </li>
        ))}
      </ul>
      <p class="soft">{say("set.version", { version: update.value.version || __APP_VERSION__ })}</p>
      <p class="soft">{say("standing_line")}</p>
    </Sitting>
  );
}
