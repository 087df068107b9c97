import type { ComponentChildren } from "preact";
import { setDevice } from "../../actions/person.ts";
import type { FoldAnswer } from "../../engine/types.ts";
import { kept, nowMs } from "../../state/moment.ts";
import { deviceSettings, person } from "../../state/person.ts";
import { go } from "../../state/route.ts";
import { emsOf } from "../clock_text.ts";
import { perform } from "../perform.ts";
import { say, words } from "../say.ts";
import { pressUndo, undoLabel } from "../undo.ts";
import { ActionButton, HoldButton } from "./ActionButton.tsx";
import { PeopleStrip } from "./PeopleStrip.tsx";
import { Shape } from "./Shape.tsx";
import { type SmallChoice, SmallRow } from "./SmallRow.tsx";
import { Warns } from "./Warns.tsx";

/** State word and shape, as large as the width allows. */
export function StateWord({ fold }: { fold: Pick<FoldAnswer, "shape" | "word"> }) {
  const word = words(fold.word);
  return (
    <div class="top">
      <Shape shape={fold.shape} big />
      <h1 class="word" style={{ "--ems": emsOf(word) }}>
        {word}
      </h1>
    </div>
  );
}

/** Read once, a caution is only its icon and hazard word for so long; these are said in full every time. */
const READ_FOR_MS = 30 * 86_400_000;
const ALWAYS_SAID = /FIRE|BRITTLE/;

/** No longer ago than this; after a clock set back an instant lies ahead, and that is not lately for as long as it was set. */
const wasLately = (at_ms: number, span_ms: number): boolean => Math.abs(nowMs.value - at_ms) < span_ms;

interface CautionProps {
  readonly name: string;
  readonly word: string;
  readonly text: string;
}

/** A caution that may be read once: pressed, it shrinks; pressed again, it is back. */
function Caution({ name, word, text }: CautionProps) {
  const { cautions_read } = deviceSettings.value;
  const read = wasLately(cautions_read[name] ?? 0, READ_FOR_MS);
  const press = () => void setDevice({ cautions_read: { ...cautions_read, [name]: read ? 0 : nowMs.value } });
  return (
    <button type="button" class="hazard" aria-label={text} aria-expanded={!read} onClick={press}>
      {read && <Shape shape="triangle" />}
      <span>{read ? word : text}</span>
    </button>
  );
}

/** One hazard word with the one caution of this step, always in the same place; the place stays when there is none. */
function Hazard({ fold: { caution, hazard_line, hazards } }: { fold: FoldAnswer }) {
  const note = caution ?? hazard_line;
  if (!note) return <div class="hazard-slot" />;
  const line = words(note);
  const word = hazards.at(caution ? 0 : -1) ?? "";
  const text = line.toUpperCase().includes(word) ? line : `${word} · ${line}`;
  const name = person.value.member_id + note.key;
  return (
    <div class="hazard-slot">
      {ALWAYS_SAID.test(hazards.join()) ? (
        <p class="hazard">{text}</p>
      ) : (
        <Caution name={name} word={word} text={text} />
      )}
    </div>
  );
}

/** The primary action of the fold; nothing to press is said, never an empty place. */
function Primary({ piece_id, fold }: { piece_id: string; fold: FoldAnswer }) {
  const action = fold.next;
  const done = fold.shape === "square";
  if (!action || action.do === "none") {
    return <p class="act idle">{action ? words(action.label) : say(done ? "step.done" : "step.nothing_now")}</p>;
  }
  const Button = action.hold ? HoldButton : ActionButton;
  return <Button label={words(action.label)} kind={action.kind} onPress={() => perform(piece_id, action)} />;
}

/** How long "kept" stands where undo is. */
const KEPT_MS = 2500;

/** Undo, always in the same place; there too a mark is acknowledged, as soon as it is kept and before the fold answers. */
function undoChoice(piece_id: string, fold: FoldAnswer): SmallChoice {
  const on = fold.undo !== null && fold.undo.until_ms > nowMs.value;
  const fresh = kept.value?.log_id === piece_id && wasLately(kept.value.at_ms, KEPT_MS);
  return { label: fresh ? say("kept_undo") : undoLabel(fold), off: !on, onPress: () => pressUndo(fold) };
}

/** Went wrong, one offer or "it was earlier", undo: the other offers come first under the tag. */
function choicesOf(piece_id: string, fold: FoldAnswer): readonly SmallChoice[] {
  const offer = fold.offers[0];
  return [
    { label: say("went_wrong"), onPress: () => go("blade", piece_id, "wrong") },
    offer
      ? { label: words(offer.label), onPress: () => perform(piece_id, offer) }
      : { label: say("it_was_earlier"), onPress: () => go("blade", piece_id, "earlier") },
    undoChoice(piece_id, fold),
  ];
}

/** The blade's tag, which opens everything else, and help for people. */
export function BladeStrip({ fold: { tag, log_id } }: { fold: FoldAnswer }) {
  return <PeopleStrip label={tag} hint={say("more")} icon="bars" onLabel={() => go("blade", log_id, "more")} />;
}

interface Props {
  readonly piece_id: string;
  readonly fold: FoldAnswer;
  readonly children: ComponentChildren;
}

/** What every working screen has in the same places. */
export function WorkingFrame({ piece_id, fold, children }: Props) {
  return (
    <main class={`work ${fold.screen === "gate" ? "of-gate" : ""}`} data-shape={fold.shape}>
      <BladeStrip fold={fold} />
      <StateWord fold={fold} />
      <section class="see">
        {children}
        <Warns fold={fold} />
      </section>
      <div class="do">
        <Hazard fold={fold} />
        <Primary piece_id={piece_id} fold={fold} />
        <SmallRow choices={choicesOf(piece_id, fold)} />
      </div>
    </main>
  );
}
