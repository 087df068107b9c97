/** A clock further back than this was set back; less is a clock that is kept right. */
export const CLOCK_BACK_MS = 60_000;
/** A phone that was further ahead than this was wrong all along: what it then says is followed. */
const MOST_AHEAD_MS = 86_400_000;
/** Two steps of a clock that differ by less are one step and its undoing. */
const SAME_STEP_MS = 10_000;

export interface AppClock {
  readonly now_ms: () => number;
  /** It was so late already, before the app was started again. */
  readonly notBefore: (known_ms: number) => void;
}

/**
 * The phone's clock, but never set back: a hard blade is no younger for it, and its alarm no later. When the phone's
 * clock goes back by more than a minute, the page's own clock, which nobody sets, counts on until the phone's is there.
 * Whatever runs and whatever is written down goes by this one clock, so that what lies between is right. A step back that
 * undoes a step ahead is followed: the step ahead was the mistake.
 */
export function appClock(phone_ms: () => number, page_ms: () => number): AppClock {
  let ahead_ms = phone_ms() - page_ms();
  let steps_ms: readonly number[] = []; // ahead: a clock that was set, or a sleep, in which the page's own stands still
  const now_ms = (): number => {
    const counted_ms = Math.round(page_ms() + ahead_ms);
    const told_ms = phone_ms();
    const back_ms = counted_ms - told_ms;
    const undone_ms = steps_ms.find((step_ms) => Math.abs(step_ms - back_ms) < SAME_STEP_MS);
    if (back_ms > CLOCK_BACK_MS && undone_ms === undefined) return counted_ms;
    steps_ms = steps_ms.filter((step_ms) => step_ms !== undone_ms);
    if (back_ms < -CLOCK_BACK_MS) steps_ms = [...steps_ms, -back_ms];
    ahead_ms = told_ms - page_ms();
    return told_ms;
  };
  const notBefore = (known_ms: number): void => {
    const back_ms = known_ms - now_ms();
    if (back_ms > CLOCK_BACK_MS && back_ms < MOST_AHEAD_MS) ahead_ms = known_ms - page_ms();
  };
  return { now_ms, notBefore };
}
