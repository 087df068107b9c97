import { effect } from "@preact/signals";
import { openBlade } from "../state/blades.ts";
import { route, screenChangedMs } from "../state/route.ts";
import { padForm } from "./flow/form.ts";

/** A touch so soon after the screen changed was meant for the screen before. */
const SETTLE_MS = 150;
/** More contacts than this at once are drops, chips or a palm. */
const MOST_CONTACTS = 3;

const down = new Set<number>();
let most = 0;

function lift(event: PointerEvent): void {
  down.delete(event.pointerId);
}

function press(event: PointerEvent): void {
  if (down.size === 0) most = 0;
  down.add(event.pointerId);
  most = Math.max(most, down.size);
}

/** More at once than fingers: what they press is not meant. */
export const isPalm = (): boolean => most > MOST_CONTACTS;

/** A click that nobody meant. One without a pointer (keys, switch, screen reader) always counts. */
export function isStray(event: MouseEvent, now_ms: number): boolean {
  if (event.detail === 0) return false;
  if (isPalm() || now_ms - screenChangedMs.peek() < SETTLE_MS) return true;
  const target = event.target instanceof Element ? event.target : null;
  return event.detail > 1 && target?.closest(".act, .small") != null;
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
      if (!isStray(event, Date.now())) return;
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
    const fold = openBlade.value?.fold;
    const now = `${fold?.log_id}:${fold?.screen}:${fold?.state.id}:${fold?.state.cycle}:${fold?.state.temper}`;
    if (now !== shown) screenChangedMs.value = Date.now();
    shown = now;
  });
}
