import { setDevice, switchLight } from "../../actions/person.ts";
import type { PhotoFacts } from "../../actions/photos.ts";
import type { Action, BowReading, FoldAnswer } from "../../engine/types.ts";
import { blades, openBlade } from "../../state/blades.ts";
import { deviceSettings, person } from "../../state/person.ts";
import { go } from "../../state/route.ts";
import { batches, batchOf } from "../flow/batch.ts";
import { cardOffer } from "../flow/log_pictures.ts";
import { copyOf, isPhoto, photoFacts } from "../flow/photo_copies.ts";
import { HoldButton } from "../parts/ActionButton.tsx";
import { OnOff } from "../parts/Setting.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { arm, perform } from "../perform.ts";
import { say, words } from "../say.ts";
import { voice } from "../speech.ts";
import { shown } from "../units.ts";
import { nearestClock } from "../warning.ts";

export function Row({ label, onPress }: { label: string; onPress: () => void }) {
  return (
    <li>
      <button type="button" class="row-button" onClick={onPress}>
        {label}
      </button>
    </li>
  );
}

export function ActionRow({ piece_id, action }: { piece_id: string; action: Action }) {
  const label = words(action.label);
  const press = () => perform(piece_id, action);
  if (!action.hold) return <Row label={label} onPress={press} />;
  return (
    <li class="aside">
      <HoldButton label={label} kind="plain" aside onPress={press} />
    </li>
  );
}

interface PhotoProps {
  readonly piece_id: string;
  readonly fold: FoldAnswer | null;
  /** The reading that the picture goes with: it was taken where the blade is most bowed. */
  readonly bow?: BowReading | undefined;
  /** The entry that the picture belongs to: the fracture of a coupon. */
  readonly of?: string;
  readonly label?: string;
}

/** A photo of the blade as it stands in its work; the camera comes on a screen of its own. */
export function PhotoPick({ piece_id, fold, bow, of, label = say("photo.take") }: PhotoProps) {
  const at = bow && typeof bow.at_mm === "number" ? bow.at_mm : undefined;
  const facts: PhotoFacts = {
    ...(fold?.step && { step: fold.step }),
    ...(bow && at !== undefined && { station_mm: at, of: bow.entry_id }),
    ...(of && { of }),
  };
  const press = () => {
    photoFacts.value = { [piece_id]: facts };
    go("blade", piece_id, "photo");
  };
  return (
    <button type="button" class={of ? "chip" : "row-button"} onClick={press}>
      {at === undefined ? label : say("photo.at", { at_mm: shown(at, "length") })}
    </button>
  );
}

/** Two phones began one blade, each in a log of its own: the other logs of this tag may be said to be of it. */
function ties({ log_id, tag, same_as = [] }: FoldAnswer): readonly Action[] {
  const rows = blades.value.filter((row) => row.tag === tag && ![log_id, ...same_as].includes(row.piece_id));
  return rows.map(({ piece_id, fold }) => ({
    do: "same_as",
    body: { log_id: piece_id, with_id: log_id },
    also: [piece_id],
    label: { key: "app.same.tie", facts: { tag, word: fold?.word ?? null, since_ms: fold?.state.since_ms ?? null } },
    hold: true,
    kind: "plain",
  }));
}

/** Why this step is as it is, for whoever is learning, and one picture of it: the newest, or room for one. */
function Why({ piece_id, fold }: { piece_id: string; fold: FoldAnswer }) {
  const picture = openBlade.value?.entries.findLast(
    (entry) => isPhoto(entry) && entry.body.step === fold.step && !fold.withdrawn.includes(entry.id),
  );
  const url = picture && copyOf(String(picture.body.sha256));
  return (
    <section class="why">
      <p>{words(fold.why)}</p>
      {url ? (
        <img src={url} alt={say("photo.of_step")} />
      ) : (
        <PhotoPick piece_id={piece_id} fold={fold} label={say("photo.of_step")} />
      )}
    </section>
  );
}

/** The screens that are always open have rows of their own below. */
function isOwn(action: Action): boolean {
  return action.do !== "open" || action.finding !== undefined || action.screen === "gate";
}

/** Everything else that can be done with this blade; what cannot be taken back comes last, small, and is held. */
export function More({ piece_id, fold }: { piece_id: string; fold: FoldAnswer }) {
  const to =
    (...parts: readonly string[]) =>
    () =>
      go("blade", piece_id, ...parts);
  const touchOff = () => {
    void setDevice({ touch_off: true });
    go("blade", piece_id);
  };
  const own = [...fold.offers, ...fold.more, ...ties(fold)].filter(isOwn);
  const rows = (held: boolean) =>
    own
      .filter(({ hold }) => hold === held)
      .map((action) => (
        <ActionRow key={`${words(action.label)}${action.mark}${action.check}`} piece_id={piece_id} action={action} />
      ));
  const clock = nearestClock(fold);
  const batch = batches().find(({ name }) => fold.lot && name === batchOf(fold));
  const { apprentice_on, speech_on } = deviceSettings.value;
  const light = person.value.theme === "night" ? "day" : "night";
  return (
    <Sitting title={[fold.tag, fold.name].filter(Boolean).join(" · ")} backTo={["blade", piece_id]}>
      {apprentice_on && fold.why && <Why piece_id={piece_id} fold={fold} />}
      {clock?.kind === "brittle" && <OnOff name="grinding_on" />}
      <ul class="rows">
        <Row label={say("more.all_blades")} onPress={() => go("blades")} />
        {batch && <Row label={say("batch.to", { n: batch.n })} onPress={() => go("batch", batch.name)} />}
        <Row label={say("touch.off")} onPress={touchOff} />
        <Row label={say(`more.${light}`)} onPress={() => void switchLight()} />
        {voice.value && (
          <Row
            label={say(`more.${speech_on ? "hush" : "speak"}`)}
            onPress={() => void setDevice({ speech_on: !speech_on })}
          />
        )}
        {clock && <Row label={say("warns.arm")} onPress={() => arm(piece_id, clock.id)} />}
        {rows(false)}
        <Row label={say("what_now.title")} onPress={to("wrong")} />
        <Row label={say("it_was_earlier")} onPress={to("earlier")} />
        <Row label={say("note.title")} onPress={to("note")} />
        <li>
          <PhotoPick piece_id={piece_id} fold={fold} />
        </li>
        <Row label={say("bow.title")} onPress={to("straightness")} />
        <Row
          label={[say("card.title"), words(cardOffer()?.line)].filter(Boolean).join(": ")}
          onPress={() => go("card", piece_id)}
        />
        <Row label={say("log.title")} onPress={() => go("log", piece_id)} />
        {rows(true)}
      </ul>
    </Sitting>
  );
}
