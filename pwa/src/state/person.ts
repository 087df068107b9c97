import { signal } from "@preact/signals";

export interface Person {
  readonly member_id: string;
  readonly name: string;
  readonly initials: string;
  readonly temperature_unit: "c" | "f";
  readonly length_unit: "mm" | "thou";
  readonly hand: "right" | "left";
  readonly theme: "day" | "night" | "auto";
  readonly language: string;
}

export const NOBODY: Person = {
  member_id: "",
  name: "",
  initials: "",
  temperature_unit: "c",
  length_unit: "mm",
  hand: "right",
  theme: "day",
  language: "en",
};

/** Whoever holds the phone; `member_id` is empty until a name was given. */
export const person = signal<Person>(NOBODY);

/** Everybody of this shop. */
export const members = signal<readonly Person[]>([]);

/** What belongs to this phone and not to a person. */
export interface DeviceSettings {
  /** Single-key shortcuts (space, enter, backspace, arrows, F) on or off. */
  readonly keys_on: boolean;
  /** Touches off but for the one-second hold on the strip. */
  readonly touch_off: boolean;
  /** One why under each step, for whoever is learning. */
  readonly apprentice_on: boolean;
  /** Spoken words, only where the phone has a voice of its own. */
  readonly speech_on: boolean;
  /** At the grinder, where nobody hears the phone: its light is the alarm. */
  readonly grinding_on: boolean;
  /** CSS pixels of one millimetre, from the card-width calibration; null: not done. */
  readonly px_per_mm: number | null;
  /** When each caution was read, by person and caution. */
  readonly cautions_read: Readonly<Record<string, number>>;
}

export const deviceSettings = signal<DeviceSettings>({
  keys_on: true,
  touch_off: false,
  apprentice_on: true,
  speech_on: false,
  grinding_on: false,
  px_per_mm: null,
  cautions_read: {},
});
