import { signal } from "@preact/signals";
import { theApp } from "../../actions/context.ts";
import { makeMark } from "../../actions/marks.ts";
import type { FoldAnswer } from "../../engine/types.ts";
import { nowMs } from "../../state/moment.ts";
import { emsOf } from "../clock_text.ts";
import { Digits } from "../parts/BigNumber.tsx";
import { PeopleStrip } from "../parts/PeopleStrip.tsx";
import { BladeStrip } from "../parts/WorkingFrame.tsx";
import { say, words } from "../say.ts";
import { feltMs } from "../touch.ts";

const DEAF_MS = 2000;

interface Touched {
  readonly piece_id: string;
  readonly at_ms: number;
  /** The same by the page's own clock, which nobody sets back. */
  readonly felt_ms: number;
  /** How long the log was when it was touched: the fold has answered once it is longer. */
  readonly count: number;
  readonly out: boolean;
  /** The phone would not keep it: the next contact tries again, with the instant of the first. */
  readonly lost?: boolean;
}

/** The mark this screen made, as long as the fold has not answered. */
const touched = signal<Touched | null>(null);

function unanswered(piece_id: string, fold: FoldAnswer): Touched | null {
  const mine = touched.value;
  return mine?.piece_id === piece_id && mine.count === fold.count ? mine : null;
}

/** The instant of a contact: the touch itself, not when the page got to it. */
function touchMs(event: Event): number {
  return theApp().now_ms() - Math.round(performance.now() - feltMs(event));
}

/** When it went under: as the fold says, or as it was touched a moment ago. */
function quenchedMs(piece_id: string, fold: FoldAnswer): number | null {
  if (fold.state.id === "in_quench") return fold.number.from_ms ?? fold.state.since_ms;
  return unanswered(piece_id, fold)?.at_ms ?? null;
}

/** Deaf for two seconds from the mark, whoever made it; where that lies ahead of this phone's clock, from the touch. */
function isDeaf(piece_id: string, since_ms: number, at_ms: number, felt_ms: number): boolean {
  if (at_ms >= since_ms) return at_ms - since_ms < DEAF_MS;
  const last = touched.value;
  return last?.piece_id === piece_id && felt_ms - last.felt_ms < DEAF_MS;
}

/** A contact anywhere is the mark; then deaf for two seconds; the next one is "out of the bath". */
function quenchContact(piece_id: string, fold: FoldAnswer, event: Event): void {
  const at_ms = touchMs(event);
  const felt_ms = feltMs(event);
  const since_ms = quenchedMs(piece_id, fold);
  const mine = unanswered(piece_id, fold);
  if (since_ms !== null && !mine?.lost && (isDeaf(piece_id, since_ms, at_ms, felt_ms) || mine?.out)) return;
  const out = mine?.lost ? mine.out : since_ms !== null;
  const mark: Touched = { piece_id, at_ms: since_ms ?? at_ms, felt_ms, count: fold.count, out };
  touched.value = mark;
  const when = { happened_ms: out ? at_ms : mark.at_ms, plus_minus_s: 0.5, at_source: "live" as const };
  void makeMark(piece_id, out ? "out_of_bath" : "quenched", { when }).then(({ kept }) => {
    if (!kept) touched.value = { ...mark, lost: true };
  });
}

/** The screen that asks nothing. The way back is there once the engine offers one: nobody is that long on the way. */
export function Quench({ piece_id, fold }: { piece_id: string; fold: FoldAnswer }) {
  const since_ms = quenchedMs(piece_id, fold);
  const contact = (event: Event) => quenchContact(piece_id, fold, event);
  const word = since_ms === null ? say("quench.press") : words(fold.word);
  return (
    <main class="quench">
      <h1 class="unseen">{word}</h1>
      {since_ms === null && fold.offers.length > 0 ? <BladeStrip fold={fold} /> : <PeopleStrip only_fire />}
      <button
        type="button"
        class="field"
        data-primary
        onPointerDown={contact}
        onClick={(event) => event.detail === 0 && contact(event)}
      >
        <span class="word" style={{ "--ems": emsOf(word) }}>
          {word}
        </span>
        {since_ms !== null && <QuenchSeconds fold={fold} since_ms={since_ms} />}
        <span class="say">{words(fold.sentence)}</span>
      </button>
    </main>
  );
}

function QuenchSeconds({ fold, since_ms }: { fold: FoldAnswer; since_ms: number }) {
  const now_ms = Math.max(nowMs.value, since_ms);
  const until_ms = fold.state.id === "in_quench" ? fold.number.until_ms : undefined;
  const left_s = until_ms === undefined ? null : Math.ceil((until_ms - now_ms) / 1000);
  return (
    <>
      <Digits digits={String(left_s ?? Math.floor((now_ms - since_ms) / 1000))} unit="s" />
      <span class="caption">{fold.state.id === "in_quench" ? words(fold.number.caption) : say("quench.since")}</span>
    </>
  );
}
