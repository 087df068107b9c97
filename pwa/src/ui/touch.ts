import { effect } from "@preact/signals";
import { alarms } from "../state/alarms.ts";
import { blades, openBlade } from "../state/blades.ts";
import { away, notices, people, update } from "../state/moment.ts";
import { route, screenChangedMs } from "../state/route.ts";
import { batchAnswer } from "./flow/batch.ts";
import { padForm } from "./flow/form.ts";

/** A touch so soon after the screen changed was meant for the screen before. */
const SETTLE_MS = 150;
/** More contacts than this at once are drops, chips or a palm. */
const MOST_CONTACTS = 3;

/** A touch that waited longer than this for a busy page has a time nobody can trust. */
const LATE_MS = 5000;
/** What a person types into stays as it is, whatever becomes of the blade meanwhile. */
const TYPED_INTO: ReadonlySet<string> = new Set(["check", "note", "paper", "photo", "earlier", "override"]);

/** What moves when rows come, go or change their order. */
const ROWS = ".rows, .tiles, .chips, .row-button";

const down = new Set<number>();
let most = 0;
let rows_moved_ms = Number.NEGATIVE_INFINITY;
/** When the finger of the coming click went down, and on what; null: a click of none. */
let finger: { readonly down_ms: number; readonly on: Element | null } | null = null;

function lift(event: PointerEvent): void {
  down.delete(event.pointerId);
}

/** It became a scroll: no click comes of it. */
function cancel(event: PointerEvent): void {
  lift(event);
  finger = null;
}

function press(event: PointerEvent): void {
  if (down.size === 0) most = 0;
  down.add(event.pointerId);
  finger = { down_ms: feltMs(event), on: pressedBy(event) };
  most = Math.max(most, down.size);
}

/** More at once than fingers: what they press is not meant. */
export const isPalm = (): boolean => most > MOST_CONTACTS;

/** When something was touched by the page's own clock, not when the page got to it. */
export function feltMs(event: Event): number {
  const now_ms = performance.now();
  const late_ms = now_ms - event.timeStamp;
  return late_ms >= 0 && late_ms < LATE_MS ? event.timeStamp : now_ms;
}

function ofBatch(): unknown {
  const next = batchAnswer.value?.next;
  return next && [next.open, next.load];
}

function ofBlade(): unknown {
  const { id, rest } = route.value;
  const fold = openBlade.value?.fold;
  if (fold?.log_id !== id || TYPED_INTO.has(rest[0] ?? "")) return null;
  return fold && [fold.screen, fold.state.id, fold.state.cycle, fold.state.temper];
}

const ACTIONS: Readonly<Record<string, () => unknown>> = { batch: ofBatch, blade: ofBlade };

/** What the screen is and what its action does, told apart from what lay under the finger before. */
function screenNow(): unknown {
  const { name } = route.value;
  return [name, people.value?.kind, away.value !== null, ACTIONS[name]?.()];
}

/** The rows of the list, of the batch and of the catch-up in their places; an alarm or a notice above moves them all. */
function rowsNow(): unknown {
  const above = [alarms.value.ringing?.clock_id, notices.value[0]?.id, update.value.waiting];
  const rows = blades.value.map(({ piece_id, fold }) => [piece_id, away.value && fold?.catch_up[0]?.text]);
  return [...above, rows, batchAnswer.value?.tiles.map(({ log_id }) => log_id)];
}

/** Call this whenever the answer is another than before. */
function onOther(look: () => unknown, changed: () => void): void {
  let last = "";
  effect(() => {
    const now = JSON.stringify(look());
    if (now !== last) changed();
    last = now;
  });
}

const pressedBy = ({ target }: Event): Element | null =>
  target instanceof Element ? target.closest("button, a, label, summary, input, select, textarea") : null;

/** When what was touched became what it is, where it is. The one action keeps its place whatever the rows do. */
function changedMs(on: Element | null): number {
  return on?.closest(ROWS) ? Math.max(screenChangedMs.peek(), rows_moved_ms) : screenChangedMs.peek();
}

/**
 * A click that nobody meant: by a palm, twice, of a finger that went down before the screen changed or a moment after,
 * however late it is lifted, or on something else than it is lifted from: what it touched moved away under it.
 * One without a pointer (keys, switch, screen reader) always counts.
 */
export function isStray(event: MouseEvent): boolean {
  const { down_ms, on } = finger ?? { down_ms: feltMs(event), on: pressedBy(event) };
  finger = null;
  if (event.detail === 0) return false;
  if (isPalm() || on !== pressedBy(event) || down_ms - changedMs(on) < SETTLE_MS) return true;
  return event.detail > 1 && on?.closest(".act, .small") != null;
}

/** A touched button keeps no focus on a working screen: the next press of the pedal is for the one action. */
function letGo(event: MouseEvent): void {
  const held = document.activeElement;
  if (event.detail > 0 && held?.matches(":is(.work, .touch-strip, .people-view) button")) (held as HTMLElement).blur();
}

/** Stray touches end here, before any button sees them. */
export function guardTouches(): void {
  addEventListener("pointerdown", press, { capture: true });
  addEventListener("pointerup", lift, { capture: true });
  addEventListener("pointercancel", cancel, { capture: true });
  addEventListener(
    "click",
    (event) => {
      letGo(event);
      if (!isStray(event)) return;
      event.stopPropagation();
      event.preventDefault();
    },
    { capture: true },
  );
  effect(() => {
    void route.value;
    padForm.value = null;
    globalThis.scrollTo?.(0, 0);
  });
  onOther(screenNow, () => {
    screenChangedMs.value = performance.now();
  });
  onOther(rowsNow, () => {
    rows_moved_ms = performance.now();
  });
}
