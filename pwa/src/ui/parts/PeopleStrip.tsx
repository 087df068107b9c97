import { startPeople } from "../../actions/people.ts";
import type { PeopleState } from "../../engine/types.ts";
import { go, OF_A_BLADE, route } from "../../state/route.ts";
import { say } from "../say.ts";

const ICONS = { bars: "M1 5h24M1 13h24M1 21h24", back: "M13 2 3 13l10 11" };

/** The findings, of the blade whose screen this is where there is one. */
function whatNow(): void {
  const { name, id } = route.peek();
  if (id && OF_A_BLADE.has(name)) go("blade", id, "wrong");
  else go("what-now");
}

interface Props {
  readonly label?: string;
  /** What else the label opens; a working screen has it, and its own way to "What now?". */
  readonly hint?: string;
  readonly icon?: keyof typeof ICONS;
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
          <span>{label}</span>
          {icon && (
            <svg class={icon} width="26" height="26" aria-hidden="true">
              <path d={ICONS[icon]} stroke="currentColor" stroke-width="4" fill="none" />
            </svg>
          )}
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
