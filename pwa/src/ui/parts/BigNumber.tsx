import type { BigNumber as Figure } from "../../engine/types.ts";
import { clockText, countdownText, emsOf } from "../clock_text.ts";
import { say, words } from "../say.ts";
import { kindOfUnit, scaleOf, shownNumber } from "../units.ts";

interface Text {
  readonly digits: string;
  readonly unit: string;
}

/** The figure as text at one instant. */
export function figureText(figure: Figure, now_ms: number): Text {
  if (figure.kind === "elapsed" && figure.from_ms !== undefined) {
    return { digits: clockText(now_ms - figure.from_ms), unit: "" };
  }
  if (figure.kind === "countdown" && figure.until_ms !== undefined) {
    return { digits: countdownText(figure.until_ms - now_ms), unit: "" };
  }
  if (figure.value === undefined) return { digits: "", unit: "" };
  if (figure.kind === "temperature") {
    return { digits: shownNumber(figure.value, "temperature"), unit: scaleOf("temperature").name };
  }
  const kind = kindOfUnit(figure.unit);
  const decimals = Number.isInteger(figure.value) ? 0 : undefined;
  return { digits: shownNumber(figure.value, kind, decimals), unit: scaleOf(kind).name || (figure.unit ?? "") };
}

/** One text as wide as the place allows; of several blades, whose it is stands before it. */
export function Digits({
  digits,
  unit = "",
  whose = "",
}: {
  digits: string;
  unit?: string;
  whose?: string | undefined;
}) {
  const ems = emsOf(digits) + (unit ? emsOf(unit) * 0.42 + 0.12 : 0) + (whose ? emsOf(whose) * 0.75 + 0.2 : 0);
  return (
    <p class="number" role="timer" aria-live="off" style={{ "--ems": ems }}>
      {whose && <small class="whose">{whose}</small>}
      {digits}
      {unit && <small>{unit}</small>}
    </p>
  );
}

interface Props {
  readonly figure: Figure;
  readonly now_ms: number;
  readonly onPress?: (() => void) | undefined | "";
}

/** The one number of a working screen; where there is none, the sentence has its place. */
export function BigNumber({ figure, now_ms, onPress }: Props) {
  const text = figureText(figure, now_ms);
  if (!text.digits) return null;
  return (
    <>
      <Digits {...text} whose={figure.whose} />
      <p class="caption">{words(figure.caption)}</p>
      {onPress && <button type="button" class="move" aria-label={say("it_was_earlier")} onClick={onPress} />}
    </>
  );
}
