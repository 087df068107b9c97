import type { Banded, Card, CardStep, Note, SetPoint } from "../../engine/types.ts";
import { sourceTitle } from "../flow/catalogue.ts";
import { say, words } from "../say.ts";
import { kindOfUnit, scaleOf, shownNumber } from "../units.ts";

function SourceLines({ ids, notes }: { ids: readonly string[]; notes: readonly Note[] }) {
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
  const [low, high] = [shownNumber(banded.low, kind), shownNumber(banded.high, kind)];
  return say("card.band", { low, high, unit: scaleOf(kind).name || banded.unit, n: Math.round(banded.coverage * 10) });
}

/** One number: its value, its band, and its source one tap away. */
function Figure({ figure }: { figure: { readonly label: Note } & Banded }) {
  const kind = kindOfUnit(figure.unit);
  return (
    <details>
      <summary class="kv">
        <span>{words(figure.label)}</span>
        <b>
          {shownNumber(figure.value, kind)} {scaleOf(kind).name || figure.unit}
        </b>
        <i>{bandText(figure)}</i>
      </summary>
      <SourceLines ids={figure.sources} notes={figure.notes} />
    </details>
  );
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

function Point({ point }: { point: SetPoint }) {
  return (
    <details>
      <summary class="kv">
        <span>{words(point.label)}</span>
        <b>{pointText(point)}</b>
        {point.notes[0] && <i>{words(point.notes[0])}</i>}
      </summary>
      <SourceLines ids={point.sources} notes={point.notes.slice(1)} />
    </details>
  );
}

function Step({ step }: { step: CardStep }) {
  const asides = [...step.checks.map(({ text }) => text), ...step.follow_ups];
  return (
    <section class="card-step">
      <h2>
        {step.n}. {words(step.title)}
      </h2>
      {step.cautions.map((caution) => (
        <p key={caution.key} class="caution">
          <b>{words(caution)}</b>
        </p>
      ))}
      {step.set_points.map((point) => (
        <Point key={point.id} point={point} />
      ))}
      {asides.map((aside) => (
        <p key={aside.key}>{words(aside)}</p>
      ))}
      <p class="soft">{words(step.why)}</p>
    </section>
  );
}

/** The whole card: verdict, numbers, steps; each number with its source behind it. */
export function CardView({ card }: { card: Card }) {
  return (
    <>
      <p class="verdict">
        <b>{words(card.verdict)}</b>
      </p>
      {card.warnings.map((warning) => (
        <p key={warning.key} class="caution">
          <b>{words(warning)}</b>
        </p>
      ))}
      {card.numbers.map((figure) => (
        <Figure key={figure.id} figure={figure} />
      ))}
      {card.steps.map((step) => (
        <Step key={step.id} step={step} />
      ))}
    </>
  );
}
