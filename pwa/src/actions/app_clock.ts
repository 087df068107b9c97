/** A clock further back than this was set back; less is a clock that is kept right. */
export const CLOCK_BACK_MS = 60_000;
/** Two steps of a clock that differ by less are one step and its undoing: clocks are set by the minute. */
const SAME_STEP_MS = 120_000;
/** A phone that was further ahead than this was wrong all along: what it says is followed. */
const MOST_OWED_MS = 86_400_000;

/** What was so at one instant: the app's clock, and what the phone's said. */
export interface Lived {
  readonly app_ms: number;
  readonly phone_ms: number;
}

export interface AppClock {
  readonly now_ms: () => number;
  /** Now, for something that is written down: what the clock was set ahead before it cannot be taken back any more. */
  readonly stamp_ms: () => number;
  /** It was so late already, before the app was started again. */
  readonly goOn: (lived: Lived) => void;
}

/**
 * The phone's clock, but never set back: a hard blade is no younger for it, and its alarm no later. What the phone's
 * clock goes back by, against the page's own clock, which nobody sets, is owed until it is set right. Whatever runs and
 * whatever is written down goes by this one clock, so that what lies between is right. A step ahead may be a sleep, in
 * which the page's own clock stands still; one that is undone before anything was written was a mistake, and is forgotten:
 * `undone` is told.
 */
export function appClock(phone: () => number, page: () => number, undone: () => void): AppClock {
  let last = { phone_ms: phone(), page_ms: page() };
  let owed_ms = 0;
  let step_ms = 0;

  const stepAhead = (by_ms: number): void => {
    if (Math.abs(by_ms - owed_ms) < SAME_STEP_MS) owed_ms = 0;
    else step_ms = by_ms;
  };
  const stepBack = (by_ms: number): void => {
    const was_mistake = step_ms > 0 && Math.abs(by_ms - step_ms) < SAME_STEP_MS;
    if (!was_mistake) owed_ms += by_ms;
    if (owed_ms > MOST_OWED_MS) owed_ms = 0;
    step_ms = 0;
    if (was_mistake) undone();
  };
  const now_ms = (): number => {
    const next = { phone_ms: phone(), page_ms: page() };
    const by_ms = Math.round(next.phone_ms - last.phone_ms - (next.page_ms - last.page_ms));
    last = next;
    if (by_ms > CLOCK_BACK_MS) stepAhead(by_ms);
    if (by_ms < -CLOCK_BACK_MS) stepBack(-by_ms);
    return next.phone_ms + owed_ms;
  };
  const stamp_ms = (): number => {
    const stamped_ms = now_ms();
    step_ms = 0;
    return stamped_ms;
  };
  const goOn = ({ app_ms, phone_ms }: Lived): void => {
    const told_ms = phone();
    const at_least_ms = app_ms + Math.max(0, told_ms - phone_ms);
    if (app_ms - told_ms > CLOCK_BACK_MS) stepBack(at_least_ms - told_ms);
  };
  return { now_ms, stamp_ms, goOn };
}
