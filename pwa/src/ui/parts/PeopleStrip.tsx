import { startPeople } from "../../actions/people.ts";
import type { PeopleState } from "../../engine/types.ts";
import { go, route } from "../../state/route.ts";
import { say } from "../say.ts";

function Bars() {
  return (
    <svg width="26" height="22" viewBox="0 0 26 22" aria-hidden="true">
      <path d="M1 3h24M1 11h24M1 19h24" stroke="currentColor" stroke-width="4" />
    </svg>
  );
}

function Back() {
  return (
    <svg width="16" height="26" viewBox="0 0 16 26" aria-hidden="true">
      <path d="M13 2 3 13l10 11" stroke="currentColor" stroke-width="4" fill="none" />
    </svg>
  );
}

/** The findings, of the blade whose screen this is where there is one. */
function whatNow(): void {
  const { name, id } = route.peek();
  if (id && name !== "what-now") go("blade", id, "wrong");
  else go("what-now");
}

interface Props {
  readonly label?: string;
  /** What else the label opens; a working screen has it, and its own way to "What now?". */
  readonly hint?: string;
  readonly icon?: "bars" | "back";
  readonly onLabel?: () => void;
  /** The screen that asks nothing has nothing else. */
  readonly only_fire?: boolean;
}

function Help({ kind }: { kind: PeopleState }) {
  return (
    <button type="button" class={kind} onClick={() => void startPeople(kind)}>
      {say(`people.${kind}`)}
    </button>
  );
}

/** Fire, carbon monoxide, somebody hurt: one press from any screen, always at the same place. */
export function PeopleStrip({ label, hint, icon, onLabel, only_fire = false }: Props) {
  return (
    <nav class="people-strip" aria-label={say("people.strip")}>
      {label !== undefined && (
        <button type="button" class="tag" aria-label={hint ? `${label}, ${hint}` : label} onClick={() => onLabel?.()}>
          {icon === "back" && <Back />}
          <span>{label}</span>
          {icon === "bars" && <Bars />}
        </button>
      )}
      {!hint && !only_fire && (
        <button type="button" class="help" aria-label={say("what_now.title")} onClick={whatNow}>
          ?
        </button>
      )}
      <Help kind="fire" />
      {!only_fire && (
        <>
          <Help kind="co" />
          <Help kind="hurt" />
        </>
      )}
    </nav>
  );
}
