import { setDevice } from "../../actions/person.ts";
import { type DeviceSettings, deviceSettings } from "../../state/person.ts";
import { say } from "../say.ts";

interface Choice {
  readonly value: string;
  readonly on: boolean;
  readonly press: () => void;
}

/** One setting as a row of chips. */
export function Setting({ name, choices }: { name: string; choices: readonly Choice[] }) {
  return (
    <fieldset class="pick">
      <legend>{say(`set.${name}`)}</legend>
      <div class="chips">
        {choices.map(({ value, on, press }) => (
          <button type="button" class="chip" key={value} aria-pressed={on} onClick={press}>
            {say(`set.${name}.${value}`)}
          </button>
        ))}
      </div>
    </fieldset>
  );
}

/** What of this phone is on or off. */
export function OnOff({ name }: { name: keyof DeviceSettings }) {
  const choices = [true, false].map((on) => ({
    value: on ? "on" : "off",
    on: deviceSettings.value[name] === on,
    press: () => void setDevice({ [name]: on }),
  }));
  return <Setting name={name} choices={choices} />;
}
