import { chooseValue, withdraw } from "../../actions/corrections.ts";
import { erase } from "../../actions/erase.ts";
import type { Entry, FoldAnswer } from "../../engine/types.ts";
import { blades, type OpenBlade, openBlade } from "../../state/blades.ts";
import { go } from "../../state/route.ts";
import { shop } from "../../state/shop.ts";
import { entryDetail, entryText } from "../entry_text.ts";
import { drawnLog } from "../flow/log_pictures.ts";
import { copyOf, isPhoto } from "../flow/photo_copies.ts";
import { HoldButton } from "../parts/ActionButton.tsx";
import { Shape } from "../parts/Shape.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say, words } from "../say.ts";
import { clockTime, clockTimeZoned, dayText } from "../time_text.ts";
import { shown } from "../units.ts";
import { claimedMs, corrected } from "./Earlier.tsx";
import { PhotoPick, Row } from "./More.tsx";

const HIDDEN = new Set(["correct", "withdraw", "choose"]);
function Photo({ entry }: { entry: Entry }) {
  const url = copyOf(String(entry.body.sha256));
  if (!url) return null;
  return (
    <div class="photo-row">
      <img src={url} alt={say("photo.alt", { time: clockTime(entry.happened_ms) })} />
    </div>
  );
}

/** Two fractures side by side, as large as the glass allows; the small copies stand in for originals not to be had. */
function Fractures() {
  const fractures = drawnLog()?.fractures ?? [];
  if (fractures.length < 2) return null;
  return (
    <div class="fractures">
      {fractures.map(({ sha256, happened_ms, title, verdict }) => (
        <figure key={sha256}>
          <img src={copyOf(sha256, false) ?? copyOf(sha256)} alt={say("photo.alt", { time: dayText(happened_ms) })} />
          <figcaption>
            <b>{words(title)}</b> {dayText(happened_ms)}, {words(verdict)}
          </figcaption>
        </figure>
      ))}
    </div>
  );
}

/** How the instant is known, who made it, and whether it has left this phone. */
function asideOf(blade: OpenBlade, entry: Entry, fold: FoldAnswer | null): string {
  // Whoever overruled a stop point signed it there, whoever holds the phone.
  const marks = [String(entry.body.initials ?? entry.initials)];
  const moved = claimedMs(blade, entry) !== entry.happened_ms;
  if (entry.at_source !== "live" || moved) marks.push(say(`at.${moved ? "back_dated" : entry.at_source}`));
  if (fold?.unread.includes(entry.id)) marks.push(say("log.newer"));
  if (blade.only_here.has(entry.id)) marks.push(say("log.only_here"));
  return marks.filter(Boolean).join(" · ");
}

interface EntryProps {
  readonly blade: OpenBlade;
  readonly entry: Entry;
}

/** What was taken back counts again by the same press: the taking back is itself taken back. */
function TakeBack({ blade, entry }: EntryProps) {
  const back =
    gone(blade, entry) &&
    blade.entries.findLast((one) => one.kind === "withdraw" && one.body.entry_id === entry.id && !gone(blade, one));
  return (
    <button type="button" class="chip" onClick={() => void withdraw(entry.log_id, (back || entry).id)}>
      {back ? say("log.put_back") : say("log.take_back")}
    </button>
  );
}

function Acts({ blade, entry }: EntryProps) {
  const { fold } = blade;
  const piece_id = entry.log_id;
  return (
    <div class="chips">
      {fold?.disputed?.includes(entry.id) && (
        <button type="button" class="chip" onClick={() => void chooseValue(piece_id, entry.id)}>
          {say("log.this_counts")}
        </button>
      )}
      <button type="button" class="chip" onClick={() => go("blade", piece_id, "earlier", entry.id)}>
        {say("log.move")}
      </button>
      {entry.kind === "check" && (
        <>
          <button
            type="button"
            class="chip"
            onClick={() => go("blade", piece_id, "check", String(entry.body.check), entry.id)}
          >
            {say("log.correct")}
          </button>
          <PhotoPick piece_id={piece_id} fold={fold} of={entry.id} />
        </>
      )}
      <TakeBack blade={blade} entry={entry} />
    </div>
  );
}

/** The owner may take a photo, or words, away for good. */
function Erase({ entry }: { entry: Entry }) {
  const { joined, role } = shop.value;
  const { text, reason } = entry.body;
  if (!joined || role !== "owner" || !(isPhoto(entry) ? entry.body.sha256 : text || reason)) return null;
  return (
    <div class="aside">
      <HoldButton label={say("log.erase")} kind="stop" aside onPress={() => void erase(entry)} />
    </div>
  );
}

function newBody(blade: OpenBlade, entry: Entry): Entry {
  const last = corrected(blade, entry, "body") as Entry["body"] | undefined;
  return last ? { ...entry, body: last } : entry;
}

/** What the engine made of feeler readings, or of a file, stands before them; a picture names the step that it was taken in. */
function asideText(blade: OpenBlade, entry: Entry): string {
  const bow = blade.fold?.bows.find(({ entry_id, at_mm }) => entry_id === entry.id && at_mm);
  const step = blade.card?.card.steps.find(({ id }) => id === entry.body.step);
  if (entry.body.check === "file") return words(drawnLog()?.files?.find(({ entry_id }) => entry_id === entry.id)?.text);
  if (!bow) return step ? words(step.title) : "";
  return `${say("field.bow_mm")} ${say("bow.at", { bow_mm: shown(bow.bow_mm, "length"), at_mm: shown(bow.at_mm ?? 0, "length", 0) })},`;
}

const gone = (blade: OpenBlade, { id }: Entry): boolean =>
  [blade, ...blades.value].some(({ fold }) => fold?.withdrawn.includes(id));

interface LineProps extends EntryProps {
  readonly zoned: boolean;
  readonly open?: boolean;
}

function Line({ blade, entry, zoned, open = false }: LineProps) {
  const { fold } = blade;
  const taken_back = gone(blade, entry);
  const now = newBody(blade, entry);
  const at_ms = claimedMs(blade, entry);
  const moved = at_ms !== entry.happened_ms;
  return (
    <li>
      <details open={open}>
        <summary class="log-line">
          <span class="time">
            {moved && <s class="struck">{clockTime(entry.happened_ms)}</s>}{" "}
            {zoned ? clockTimeZoned(at_ms) : clockTime(at_ms)}
          </span>
          <span class={taken_back ? "struck" : ""}>
            <b>{entryText(now)}</b> {asideText(blade, entry)} {entryDetail(now)}
            {now !== entry && <s class="struck"> {entryDetail(entry)}</s>}
            <small>
              {[asideOf(blade, entry, fold), taken_back ? say("log.taken_back") : ""].filter(Boolean).join(" · ")}
            </small>
          </span>
        </summary>
        {!taken_back && <Acts blade={blade} entry={entry} />}
        {taken_back && entry.kind !== "same_as" && <TakeBack blade={blade} entry={entry} />}
        <Erase entry={entry} />
      </details>
      {!taken_back && isPhoto(entry) && <Photo entry={entry} />}
    </li>
  );
}

/** In the night the clocks change the same time comes twice: then the zone stands beside it. */
function clocksChanged(entries: readonly Entry[]): boolean {
  return new Set(entries.map(({ utc_offset_min }) => utc_offset_min)).size > 1;
}

function byDay(blade: OpenBlade): readonly { day: string; entries: readonly Entry[] }[] {
  const days: { day: string; entries: Entry[] }[] = [];
  const shown = blade.entries.filter(({ kind }) => !HIDDEN.has(kind));
  const sorted = shown.toSorted((one, other) => claimedMs(blade, other) - claimedMs(blade, one));
  for (const entry of sorted) {
    const day = dayText(claimedMs(blade, entry));
    if (days.at(-1)?.day !== day) days.push({ day, entries: [] });
    days.at(-1)?.entries.push(entry);
  }
  return days;
}

/** What somebody should look at: two values of one thing side by side, until one is chosen, and the other log of this blade. */
function Flags({ blade, zoned }: { blade: OpenBlade; zoned: boolean }) {
  return (
    <>
      {blade.fold?.flags.map(({ id, text, shape, facts, entry_ids }, place) => (
        <section key={`${id}${place}`}>
          <p class="refused">
            <Shape shape={shape} />
            <span>{words(text)}</span>
          </p>
          <ul class="rows">
            {blade.entries
              .filter((entry) => entry_ids?.includes(entry.id))
              .map((entry) => (
                <Line key={entry.id} blade={blade} entry={entry} zoned={zoned} open />
              ))}
            {id === "same_as" && <Row label={say("same.to")} onPress={() => go("blade", String(facts.log_id))} />}
          </ul>
        </section>
      ))}
    </>
  );
}

/** Everything that happened to one blade, newest first; what is taken back stays, struck through. */
export function Log({ piece_id }: { piece_id: string }) {
  const blade = openBlade.value;
  if (!blade) return null;
  const zoned = clocksChanged(blade.entries);
  return (
    <Sitting title={`${blade.tag} · ${say("log.title")}`} backTo={["blade", piece_id]}>
      <ul class="rows">
        <Row label={say("note.title")} onPress={() => go("blade", piece_id, "note")} />
        <li>
          <PhotoPick piece_id={piece_id} fold={blade.fold} />
        </li>
      </ul>
      <Flags blade={blade} zoned={zoned} />
      {blade.entries.some(isPhoto) && <Fractures />}
      {byDay(blade).map(({ day, entries }) => (
        <section key={day}>
          <h2>{day}</h2>
          <ul class="rows">
            {entries.map((entry) => (
              <Line key={entry.id} blade={blade} entry={entry} zoned={clocksChanged(entries)} />
            ))}
          </ul>
        </section>
      ))}
    </Sitting>
  );
}
