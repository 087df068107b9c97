import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { say } from "../say.ts";
import { isPalm } from "../touch.ts";

const HOLD_MS = 800;
const LONG_LABEL = 26;

interface Props {
  readonly label: string;
  readonly kind?: "go" | "wait" | "stop" | "plain";
  readonly onPress: () => void;
  readonly disabled?: boolean;
}

function classOf(label: string, kind: Props["kind"] = "go"): string {
  return `act ${kind} ${label.length > LONG_LABEL ? "long" : ""}`;
}

/** The one action: always the same place, the same 120 px. It acts on release inside; sliding off cancels. */
export function ActionButton({ label, kind, onPress, disabled = false }: Props) {
  return (
    <button type="button" class={classOf(label, kind)} data-primary onClick={onPress} disabled={disabled}>
      {label}
    </button>
  );
}

interface HoldProps extends Props {
  /** Not the one action of its screen: no key presses it. */
  readonly aside?: boolean;
  readonly hold_ms?: number;
}

/** For what cannot be taken back: pressed for 0.8 s. Without a pointer it is pressed twice instead. */
export function HoldButton({ label, kind, onPress, aside = false, hold_ms = HOLD_MS }: HoldProps) {
  const holding = useSignal(false);
  const armed = useSignal(false);
  const timer = useSignal<ReturnType<typeof setTimeout> | undefined>(undefined);
  const stop = () => {
    clearTimeout(timer.value);
    holding.value = false;
  };
  // The screen went away under the finger: what it held is not there any more.
  useEffect(() => () => clearTimeout(timer.peek()), [timer]);
  const start = () => {
    holding.value = true;
    timer.value = setTimeout(() => {
      stop();
      if (!isPalm()) onPress();
    }, hold_ms);
  };
  const press = (event: MouseEvent) => {
    if (event.detail > 0) return;
    if (armed.value) onPress();
    armed.value = !armed.value;
  };
  return (
    <button
      type="button"
      class={`${classOf(label, kind)} ${holding.value ? "holding" : ""}`}
      data-primary={aside ? undefined : true}
      onPointerDown={start}
      onPointerUp={stop}
      onPointerLeave={stop}
      onPointerCancel={stop}
      onContextMenu={(event) => event.preventDefault()}
      onClick={press}
    >
      {armed.value ? say("press_again", { what: label }) : label}
      <span class="held" aria-hidden="true" />
    </button>
  );
}
