import { silence } from "../actions/alarms.ts";
import { startPeople } from "../actions/people.ts";
import { setDevice, switchLight } from "../actions/person.ts";
import { blades, openBlade } from "../state/blades.ts";
import { deviceSettings } from "../state/person.ts";
import { back, go, route } from "../state/route.ts";
import { takeOut } from "./flow/batch.ts";
import { pressUndo } from "./undo.ts";

/** The blade before or after the open one, in the order of the list: a second step counts before the first is shown. */
function otherBlade(by: number): void {
  const ids = blades.peek().map(({ piece_id }) => piece_id);
  if (ids.length === 0) return;
  const at = ids.indexOf(route.peek().id ?? "");
  const id = ids[(at + by + ids.length) % ids.length];
  if (id) go("blade", id);
}

/** A pedal that bounces, or is stepped on twice, counts once. */
const ONCE_MS = 500;
let pressed_ms = Number.NEGATIVE_INFINITY;

function primary(): void {
  const now_ms = performance.now();
  const again = now_ms - pressed_ms < ONCE_MS;
  pressed_ms = now_ms;
  if (again) return;
  document.querySelector<HTMLElement>("[data-primary]:not(:disabled)")?.click();
}

function undo(): void {
  const { name, id, rest } = route.peek();
  if (name === "batch") takeOut();
  if (name !== "blade" || !id || rest.length > 0) return;
  const open = openBlade.peek();
  if (open && open.piece_id !== id) return; // the next blade is on its way: nothing of the last one is taken back
  if (open?.fold?.undo) pressUndo(open.fold);
  else back();
}

const KEYS: Readonly<Record<string, () => void>> = {
  " ": primary,
  Enter: primary,
  Backspace: undo,
  Escape: () => void silence(),
  f: () => void startPeople("fire"),
  n: () => void switchLight(),
  m: () => void setDevice({ speech_on: false }),
  ArrowLeft: () => otherBlade(-1),
  ArrowUp: () => otherBlade(-1),
  ArrowRight: () => otherBlade(1),
  ArrowDown: () => otherBlade(1),
};

const TYPED = /^[\d.,-]$/;

function isWriting(target: EventTarget | null): boolean {
  return target instanceof HTMLElement && target.matches("input, textarea, select");
}

/** A button in focus takes its own Enter and Space. */
function takesItself(key: string, target: EventTarget | null): boolean {
  return (
    (key === " " || key === "Enter") && target instanceof HTMLElement && target.matches("button, summary, a, label")
  );
}

function actFor(key: string, target: EventTarget | null): (() => void) | undefined {
  if (target instanceof HTMLElement && target.closest(".pad-value")) return key === "Enter" ? primary : undefined;
  return isWriting(target) || takesItself(key, target) ? undefined : KEYS[key.length > 1 ? key : key.toLowerCase()];
}

/** Keys, and a pedal that sends them: everything a working screen can do, with no touch. */
export function onKey(event: KeyboardEvent): void {
  if (!deviceSettings.peek().keys_on || event.repeat || event.ctrlKey || event.altKey || event.metaKey) return;
  const { key, target } = event;
  // A figure typed anywhere goes into the pad's field, which is given the focus before the key arrives there.
  if (TYPED.test(key) && !isWriting(target)) document.querySelector<HTMLElement>(".pad-value input")?.focus();
  const act = actFor(key, target);
  if (!act) return;
  event.preventDefault();
  act();
}

export function listenToKeys(): void {
  addEventListener("keydown", onKey);
}
