import { openBlade } from "../../state/blades.ts";
import { go } from "../../state/route.ts";
import { setValue, textIn } from "../flow/form.ts";
import {
  changeCount,
  changePlaces,
  FEWEST,
  keepStations,
  MOST,
  ownPlaces,
  stationAt,
  stationCount,
  stationNames,
  stationsForm,
} from "../flow/stations.ts";
import { entered } from "../number_entry.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { AskBack, Pad } from "../parts/Pad.tsx";
import { PeopleStrip } from "../parts/PeopleStrip.tsx";
import { Refused } from "../parts/Sitting.tsx";
import { say } from "../say.ts";
import { scaleOf, shown } from "../units.ts";
import { nextEmpty, Tile } from "./CheckScreen.tsx";

/** Feeler readings along the blade: the pad walks from station to station. */
export function Stations({ piece_id, entry_id }: { piece_id: string; entry_id: string | undefined }) {
  const form = stationsForm(piece_id, openBlade.value?.fold ?? null, entry_id);
  const names = stationNames(form);
  const next = nextEmpty(form, names);
  const label = (name: string) => {
    const at = Number(name.split(".")[1]);
    if (!at) return say(`field.${name}`);
    const at_mm = stationAt(form, at);
    return at_mm === null
      ? say("field.nth", { at, unit: scaleOf("length").name })
      : say("bow.station_at", { at_mm: shown(at_mm, "length", 0) });
  };
  const step = () => {
    if (next !== undefined && entered(textIn(form, form.at.value)).is === "number") form.at.value = next;
    else keepStations(piece_id, form, entry_id);
  };
  const other = textIn(form, "side") === "left" ? "right" : "left";
  return (
    <main class="check-screen stations">
      <PeopleStrip label={say("back")} icon="back" onLabel={() => go("blade", piece_id)} />
      <div class="ask">
        <h1>{say("bow.feelers", { unit: scaleOf("length").name })}</h1>
        <div class="station-list">
          {names.map((name) => (
            <Tile key={name} form={form} name={name} label={label(name)} />
          ))}
          <button type="button" class="station" onClick={() => setValue(form, "side", other)}>
            <small>{say("field.side")}</small>
            {say(`choice.${textIn(form, "side")}`)}
          </button>
          <button type="button" class="station" aria-pressed={ownPlaces(form)} onClick={() => changePlaces(form)}>
            <small>{say("bow.places")}</small>
            {say(ownPlaces(form) ? "bow.places.own" : "bow.places.even")}
          </button>
          <button
            type="button"
            class="station"
            disabled={stationCount(form) <= FEWEST}
            onClick={() => changeCount(form, -1)}
          >
            <small>{say("bow.stations")}</small>
            {say("bow.fewer", { n: stationCount(form) - 1 })}
          </button>
          <button
            type="button"
            class="station"
            disabled={stationCount(form) >= MOST}
            onClick={() => changeCount(form, 1)}
          >
            <small>{say("bow.stations")}</small>
            {say("bow.more", { n: stationCount(form) + 1 })}
          </button>
        </div>
        <Refused refusal={form.refusal.value} />
        <AskBack form={form} name={form.at.value} />
      </div>
      <div class="keys">
        <Pad form={form} />
        <div class="do">
          <ActionButton label={say(next === undefined ? "keep" : "next")} onPress={step} />
        </div>
      </div>
    </main>
  );
}
