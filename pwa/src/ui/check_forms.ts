/** What each check's screen asks for. The engine judges the values; this is only the shape of the paper. */
export type CheckField =
  | { readonly kind: "number"; readonly name: string; readonly optional?: true }
  | { readonly kind: "numbers"; readonly name: string; readonly count: number }
  | { readonly kind: "pick"; readonly name: string; readonly choices: readonly string[]; readonly numeric?: true }
  | { readonly kind: "yesno"; readonly name: string; readonly optional?: true }
  | { readonly kind: "answer"; readonly name: string; readonly choices: readonly string[] };

const number = (name: string): CheckField => ({ kind: "number", name });
const optional = (name: string): CheckField => ({ kind: "number", name, optional: true });
const yesno = (name: string): CheckField => ({ kind: "yesno", name });
const answer = (...choices: readonly string[]): CheckField => ({ kind: "answer", name: "answer", choices });
const pick = (name: string, ...choices: readonly string[]): CheckField => ({ kind: "pick", name, choices });

export const MEDIA = ["fast_oil", "medium_oil", "water", "brine", "plates"];

export const CHECK_FORMS: Readonly<Record<string, readonly CheckField[]>> = {
  magnet: [yesno("rising"), answer("none", "weak", "sticks")],
  sight: [answer("straight", "bowed", "unsure")],
  file: [
    { kind: "pick", name: "file_hrc", choices: ["50", "55", "58", "62", "65"], numeric: true },
    pick("place", "edge", "spine", "tang"),
    answer("skates", "drags", "bites"),
  ],
  crack: [pick("method", "sight", "ring", "penetrant", "etch"), answer("none", "suspected", "seen")],
  grain: [answer("fine", "coarse")],
  temper_colour: [
    {
      kind: "answer",
      name: "colour",
      choices: ["faint_straw", "light_straw", "dark_straw", "brown", "purple", "dark_blue", "light_blue", "grey_blue"],
    },
  ],
  colour: [yesno("even"), yesno("bright")],
  corners: [yesno("radiused"), yesno("deburred")],
  bath_ready: [
    yesno("covers_blade"),
    yesno("lid"),
    yesno("extinguisher"),
    yesno("path"),
    { kind: "yesno", name: "tipping", optional: true },
  ],
  scratches: [yesno("along"), number("grit")],
  oven_temperature: [number("temperature_c"), optional("swing_peak_c")],
  bath_temperature: [number("temperature_c")],
  blade_temperature: [number("temperature_c")],
  flash_point: [number("flash_c")],
  bow: [number("bow_mm"), number("length_mm"), optional("at_mm")],
  twist: [number("gap_mm"), number("width_mm")],
  edge_thickness: [{ kind: "numbers", name: "readings_mm", count: 3 }],
  edge_off_centre: [number("value_mm")],
  left_right: [number("difference_mm"), optional("at_mm")],
  hardness: [
    pick("place", "edge", "spine", "tang"),
    yesno("block_checked"),
    { kind: "numbers", name: "readings_hrc", count: 3 },
  ],
  coupon: [pick("medium", ...MEDIA), yesno("passed"), number("thickness_mm")],
  weight: [number("mass_g")],
};
