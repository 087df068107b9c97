import { paper } from "virtual:words";
import type { ComponentChildren } from "preact";
import type { Banded, Card, CardStep, Note, SetPoint } from "../../engine/types.ts";
import { sourceTitle } from "../flow/catalogue.ts";
import { say, words } from "../say.ts";
import { kindOfUnit, scaleOf, shownNumber } from "../units.ts";
import { Asked } from "./Asked.tsx";

/** Longer text set points stand below their name, not beside it. */
const SHORT_TEXT = 18;

export function SourceLines({ ids, notes }: { ids: readonly string[]; notes: readonly Note[] }) {
  return (
    <div class="source">
      {notes.map((note) => (
        <p key={note.key}>{words(note)}</p>
      ))}
      {ids.map((id) => (
        <p key={id}>{say("card.source", { source: sourceTitle(id) })}</p>
      ))}
    </div>
  );
}

function bandText(banded: Banded): string {
  const kind = kindOfUnit(banded.unit);
  const facts = {
    low: shownNumber(banded.low, kind),
    high: shownNumber(banded.high, kind),
    unit: scaleOf(kind).name || banded.unit,
    n: Math.round(banded.coverage * 10),
  };
  return say(facts.n > 0 ? "card.band" : "card.between", facts);
}

interface KvProps {
  readonly of: { readonly label: Note; readonly sources: readonly string[] };
  readonly text: string;
  readonly notes: readonly Note[];
  readonly aside?: string | undefined;
  readonly wide?: boolean;
  readonly open?: boolean;
}

/** One number: its value, its band or first note, and its source one tap away. */
function Kv({ of, text, notes, aside, wide, open }: KvProps) {
  return (
    <details open={open}>
      <summary class="kv">
        <span>{words(of.label)}</span>
        {wide ? <i class="kv-text">{text}</i> : <b>{text}</b>}
        {aside && <i>{aside}</i>}
      </summary>
      <SourceLines ids={of.sources} notes={notes} />
    </details>
  );
}

function Figure({ figure }: { figure: { readonly label: Note } & Banded }) {
  const kind = kindOfUnit(figure.unit);
  const text = `${shownNumber(figure.value, kind)} ${scaleOf(kind).name || figure.unit}`;
  return <Kv of={figure} text={text} notes={figure.notes} aside={bandText(figure)} />;
}

function pointText(point: SetPoint): string {
  const { value } = point;
  if (value === null) return "";
  if (typeof value === "object") return words(value);
  if (typeof value === "string") return value;
  const kind = kindOfUnit(point.unit);
  const decimals = Number.isInteger(value) && kind !== "temperature" ? 0 : undefined;
  return `${shownNumber(value, kind, decimals)}${tolerance(point)} ${scaleOf(kind).name || (point.unit ?? "")}`;
}

function tolerance({ minus, plus, unit }: SetPoint): string {
  if (minus === null || plus === null || (minus === 0 && plus === 0)) return "";
  const kind = kindOfUnit(unit) === "temperature" ? "interval" : kindOfUnit(unit);
  const text = (value: number) => shownNumber(Math.abs(value), kind);
  return Math.abs(minus) === Math.abs(plus) ? ` ± ${text(plus)}` : ` −${text(minus)} +${text(plus)}`;
}

function Point({ point, open }: { point: SetPoint; open: boolean }) {
  const text = pointText(point);
  const [first, ...notes] = point.notes;
  const wide = point.kind === "text" && text.length > SHORT_TEXT;
  return <Kv of={point} text={text} notes={notes} aside={words(first)} wide={wide} open={open} />;
}

/** The figure that stands beside a step's name, where it is not the first; none where a limit would read as a set point. */
const { headlines: HEADLINES } = paper as { readonly headlines: Readonly<Record<string, string>> };

/** A step of the plan, closed but for its name and its first figure; opened, it shows where that one comes from. */
function Step({ step }: { step: CardStep }) {
  const figures = step.set_points.filter(({ kind }) => kind !== "text");
  const headline = HEADLINES[step.kind];
  const main = headline === "" ? undefined : (figures.find(({ id }) => id === headline) ?? figures[0]);
  return (
    <details class="card-step" data-kind={step.kind}>
      <summary class="kv">
        <span class="step-name">
          {step.n}. {words(step.title)}
        </span>
        {main && <b>{pointText(main)}</b>}
      </summary>
      {step.cautions.map((caution) => (
        <p key={caution.key} class="caution">
          <b>{words(caution)}</b>
        </p>
      ))}
      {step.set_points.map((point) => (
        <Point key={point.id} point={point} open={point === main} />
      ))}
      {step.asks && <Asked asks={step.asks} />}
      {step.checks.map(({ text }) => (
        <p key={text.key} class="note-text tick">
          {words(text)}
        </p>
      ))}
      {step.follow_ups.map((aside) => (
        <p key={aside.key} class="note-text follow">
          {words(aside)}
        </p>
      ))}
      <p class="note-text soft">{words(step.why)}</p>
    </details>
  );
}

/** The whole card: verdict, numbers, steps; each number with its source behind it. */
export function CardView({ card, children }: { card: Card; children?: ComponentChildren }) {
  return (
    <>
      <p class="verdict">
        <b>{words(card.verdict)}</b>
      </p>
      {card.verdict_notes.map((note) => (
        <p key={note.key} class="note-text">
          {words(note)}
        </p>
      ))}
      {card.warnings.map((warning) => (
        <p key={warning.key} class="caution">
          <b>{words(warning)}</b>
        </p>
      ))}
      {card.numbers.map((figure) => (
        <Figure key={figure.id} figure={figure} />
      ))}
      {children}
      <h2>{say("card.steps")}</h2>
      {card.steps.map((step) => (
        <Step key={step.id} step={step} />
      ))}
    </>
  );
}
