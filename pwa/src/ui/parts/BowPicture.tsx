import type { BowReading } from "../../engine/types.ts";
import { say } from "../say.ts";
import { shown, shownNumber } from "../units.ts";

const LEFT = 26;
const WIDE = 338;
const MIDDLE = 108;
const ROOM = 78;
/** The picture says which of these it is drawn at: the largest that fits. */
const MAGNIFIED = [20, 50, 100, 200];

function across(at_mm: number, length_mm: number): number {
  return LEFT + (WIDE * at_mm) / Math.max(1, length_mm);
}

function magnification(reading: BowReading): number {
  const largest_mm = Math.max(reading.bow_mm, reading.limit_mm, 0.01);
  const fits = MAGNIFIED.filter((times) => (largest_mm * times * WIDE) / Math.max(1, reading.length_mm) <= ROOM);
  return fits.at(-1) ?? 20;
}

/** Station readings as a line: only the largest is drawn when there is no more. */
function pointsOf(reading: BowReading): readonly { at_mm: number; bow_mm: number }[] {
  if (reading.stations?.length) {
    return reading.stations.map(({ at_mm, bow_mm }) => ({ at_mm, bow_mm: bow_mm ?? 0 }));
  }
  const at_mm = reading.at_mm ?? reading.length_mm / 2;
  return [
    { at_mm: 0, bow_mm: 0 },
    { at_mm, bow_mm: reading.bow_mm },
    { at_mm: reading.length_mm, bow_mm: 0 },
  ];
}

const OCTAGON = "-6-15h12l9 9v12l-9 9h-12l-9-9v-12z";

/** The bow of one reading, much enlarged across, with the band it must lie in; what is over it carries the octagon. */
export function BowPicture({ reading, bare = false }: { reading: BowReading; bare?: boolean }) {
  const times = magnification(reading);
  const down = (bow_mm: number) => (bow_mm * times * WIDE) / Math.max(1, reading.length_mm);
  const points = pointsOf(reading).map(({ at_mm, bow_mm }) => ({
    x: across(at_mm, reading.length_mm),
    y: MIDDLE + down(bow_mm),
    over: Math.abs(bow_mm) > reading.limit_mm,
  }));
  const band = Math.min(ROOM, down(reading.limit_mm));
  const summary = say("bow.summary", {
    bow_mm: shown(reading.bow_mm, "length"),
    at_mm: shown(reading.at_mm ?? 0, "length", 0),
    limit_mm: shown(reading.limit_mm, "length"),
  });
  const drawn = (
    <svg
      class={`picture ${bare ? "bare" : ""}`}
      viewBox={bare ? "0 24 390 168" : "0 0 390 262"}
      role="img"
      aria-label={summary}
    >
      <rect x={LEFT} y={MIDDLE - band} width={WIDE} height={band * 2} fill="var(--band)" />
      <path
        d={`M${LEFT} ${MIDDLE - band}h${WIDE}M${LEFT} ${MIDDLE + band}h${WIDE}`}
        stroke="var(--go)"
        stroke-width="2"
        stroke-dasharray="6 5"
      />
      <path d={`M${LEFT} ${MIDDLE}h${WIDE}`} stroke="var(--ink)" stroke-width="1" />
      <path
        d={`M${points.map(({ x, y }) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L")}`}
        fill="none"
        stroke="var(--ink)"
        stroke-width="5"
        stroke-linejoin="round"
      />
      {points.map(({ x, y, over }) =>
        over ? (
          <path key={x} d={`M${x} ${y}m${OCTAGON}`} fill="var(--stop)" />
        ) : (
          <circle key={x} cx={x} cy={y} r="6" fill="var(--ink)" />
        ),
      )}
      {!bare && <Legend reading={reading} times={times} />}
    </svg>
  );
  return (
    <>
      {drawn}
      {bare && <span class="times">×{times}</span>}
    </>
  );
}

function Legend({ reading, times }: { reading: BowReading; times: number }) {
  return (
    <>
      <text class="loud" x="195" y="224" text-anchor="middle" font-size="30">
        {say("bow.at", {
          bow_mm: shown(reading.bow_mm, "length"),
          at_mm: shown(reading.at_mm ?? 0, "length", 0),
        })}
      </text>
      <text x={LEFT} y="252" font-size="22">
        {say("bow.shoulder")}
      </text>
      <text x={LEFT + WIDE} y="252" font-size="22" text-anchor="end">
        {say("bow.tip", { times, limit_mm: shownNumber(reading.limit_mm, "length") })}
      </text>
    </>
  );
}
