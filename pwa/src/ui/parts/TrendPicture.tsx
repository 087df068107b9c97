import type { BowReading, FoldAnswer } from "../../engine/types.ts";
import { say, words } from "../say.ts";
import { shown } from "../units.ts";

const LEFT = 40;
const RIGHT = 366;
const FLOOR = 150;
const TOP = 24;

/** More readings than this do not fit by name: then only the first and the last are named, the table has all. */
const MOST_NAMED = 5;

interface Trend {
  readonly next_mm: number | null;
  readonly noise_mm: number;
  readonly flag: boolean;
}

function trendOf(fold: FoldAnswer): Trend {
  const trend = fold.trend as {
    flag?: boolean;
    noise_limit_mm?: number;
    expected_next?: { value?: number };
  } | null;
  return {
    next_mm: trend?.expected_next?.value ?? null,
    noise_mm: trend?.noise_limit_mm ?? 0,
    flag: trend?.flag ?? false,
  };
}

function Axis({ texts, x }: { texts: readonly string[]; x: (at: number) => number }) {
  return (
    <>
      <path d={`M${LEFT} ${TOP}V${FLOOR}H${RIGHT}`} stroke="var(--ink)" stroke-width="2" fill="none" />
      {texts.map((text, at) => (
        <text key={`${text}${x(at)}`} x={x(at)} y={FLOOR + 24} text-anchor="middle" font-size="24">
          {text}
        </text>
      ))}
    </>
  );
}

/** The bow from heat to heat: limit dashed and named above, where no curve goes, scatter of the feeler as a band, what comes next dotted. */
export function TrendPicture({ fold }: { fold: FoldAnswer }) {
  const bows = fold.bows;
  const { next_mm, noise_mm, flag } = trendOf(fold);
  const last = bows.at(-1);
  if (!last || bows.length < 2) return null;
  const shows_next = flag && next_mm !== null;
  const places = bows.length + (shows_next ? 1 : 0);
  const top_mm = Math.max(last.limit_mm, ...bows.map(({ bow_mm }) => bow_mm), shows_next ? next_mm : 0) * 1.1;
  const x = (at: number) => LEFT + 32 + ((RIGHT - LEFT - 64) * at) / Math.max(1, places - 1);
  const y = (bow_mm: number) => FLOOR - ((FLOOR - TOP) * bow_mm) / top_mm;
  const at = bows.map(({ bow_mm }, place) => `${x(place).toFixed(1)} ${y(bow_mm).toFixed(1)}`);
  const first = bows[0] as BowReading;
  const named = (place: number) => places <= MOST_NAMED || place === 0 || place === bows.length - 1;
  const names = bows.map(({ after }, place) => (named(place) ? words(after) : ""));
  const texts = [...names, ...(shows_next ? [say("bow.next")] : [])];
  const summary = bows.map((bow) => `${words(bow.after)} ${shown(bow.bow_mm, "length")}`).join(", ");
  return (
    <svg class="picture" viewBox="0 -16 390 200" role="img" aria-label={say("bow.trend", { readings: summary })}>
      <rect
        x={LEFT}
        y={y(first.bow_mm + noise_mm)}
        width={RIGHT - LEFT}
        height={Math.max(0, y(Math.max(0, first.bow_mm - noise_mm)) - y(first.bow_mm + noise_mm))}
        fill="var(--band)"
      />
      <path
        d={`M${LEFT} ${y(last.limit_mm)}H${RIGHT}M${LEFT + 12} 0h44`}
        stroke="var(--go)"
        stroke-width="2"
        stroke-dasharray="6 5"
      />
      <Axis texts={texts} x={x} />
      <path d={`M${at.join("L")}`} stroke="var(--ink)" stroke-width="4" fill="none" />
      {shows_next && (
        <path
          d={`M${at.at(-1)}L${x(places - 1)} ${y(next_mm)}`}
          stroke="var(--stop)"
          stroke-width="4"
          stroke-dasharray="3 7"
          fill="none"
        />
      )}
      {bows.map((bow, place) => (
        <circle key={bow.entry_id} cx={x(place)} cy={y(bow.bow_mm)} r="6" fill="var(--ink)" />
      ))}
      <text x={LEFT + 64} y="8" font-size="24">
        {say("bow.limit", { limit_mm: shown(last.limit_mm, "length") })}
      </text>
    </svg>
  );
}

export function TrendTable({ fold }: { fold: FoldAnswer }) {
  return (
    <table class="readings">
      <caption class="unseen">{say("bow.all")}</caption>
      <tbody>
        {fold.bows.map((bow) => (
          <tr key={bow.entry_id}>
            <td>{words(bow.after)}</td>
            <td>{shown(bow.bow_mm, "length")}</td>
            <td>{bow.at_mm === null || bow.at_mm === undefined ? "" : shown(bow.at_mm, "length", 0)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
