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

const down = new Set<number>();
let most = 0;
/** When the finger of the coming click went down, and on what; null: a click of none. */
let finger: { readonly down_ms: number; readonly on: Element | null } | null = null;

function lift(event: PointerEvent): void {
  down.delete(event.pointerId);
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

function ofList(): unknown {
  const { ringing } = alarms.value;
  // Whatever comes or goes above the rows moves them.
  const above = [ringing?.clock_id, notices.value[0]?.id, update.value.waiting];
  return [...above, ...blades.value.map(({ piece_id }) => piece_id)];
}

function ofBatch(): unknown {
  const answer = batchAnswer.value;
  return answer && [answer.next.open, answer.next.load, ...answer.tiles.map(({ log_id }) => log_id)];
}

function ofBlade(): unknown {
  const { id, rest } = route.value;
  const fold = openBlade.value?.fold;
  if (fold?.log_id !== id || TYPED_INTO.has(rest[0] ?? "")) return null;
  return fold && [fold.screen, fold.state.id, fold.state.cycle, fold.state.temper];
}

/** After an absence its questions stand where the list or the blade would be. */
function ofCatchUp(): unknown {
  if (!away.value) return null;
  const asked = blades.value.map(({ piece_id, fold }) => [piece_id, fold?.catch_up[0]?.text]);
  return [away.value.to_ms, alarms.value.ringing?.clock_id, notices.value[0]?.id, asked];
}

const PRESSED: Readonly<Record<string, () => unknown>> = { blades: ofList, batch: ofBatch, blade: ofBlade };

/** What lies under a finger, told apart from what lay there before. */
function onGlass(): string {
  const { name } = route.value;
  return JSON.stringify([name, people.value?.kind, ofCatchUp(), PRESSED[name]?.()]);
}

const pressedBy = ({ target }: Event): Element | null =>
  target instanceof Element ? target.closest("button, a, label, summary, input, select, textarea") : null;

/**
 * A click that nobody meant: by a palm, twice, of a finger that went down before the screen changed or a moment after,
 * however late it is lifted, or on something else than it is lifted from: what it touched moved away under it.
 * One without a pointer (keys, switch, screen reader) always counts.
 */
export function isStray(event: MouseEvent): boolean {
  const { down_ms, on } = finger ?? { down_ms: feltMs(event), on: pressedBy(event) };
  finger = null;
  if (event.detail === 0) return false;
  if (isPalm() || on !== pressedBy(event) || down_ms - screenChangedMs.peek() < SETTLE_MS) return true;
  return event.detail > 1 && pressedBy(event)?.closest(".act, .small") != null;
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
  addEventListener("pointercancel", lift, { capture: true });
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
  let shown = "";
  effect(() => {
    const now = onGlass();
    if (now !== shown) screenChangedMs.value = performance.now();
    shown = now;
  });
}
