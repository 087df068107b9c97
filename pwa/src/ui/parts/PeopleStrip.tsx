import { startPeople } from "../../actions/people.ts";
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

/** Fire, carbon monoxide, somebody hurt: one press from any screen, always at the same place. */
export function PeopleStrip(props: {
  label?: string;
  hint?: string;
  icon?: "bars" | "back";
  onLabel?: () => void;
  fireFirst?: boolean;
}) {
  return (
    <nav class="people-strip" aria-label={say("people.strip")}>
      {props.label !== undefined && (
        <button
          type="button"
          class="tag"
          aria-label={props.hint ? `${props.label}, ${props.hint}` : props.label}
          onClick={() => props.onLabel?.()}
        >
          {props.icon === "back" && <Back />}
          <span>{props.label}</span>
          {props.icon === "bars" && <Bars />}
        </button>
      )}
      <button type="button" class="fire" onClick={() => void startPeople("fire")}>
        {say("people.fire")}
      </button>
      <button type="button" onClick={() => void startPeople("co")}>
        {say("people.co")}
      </button>
      <button type="button" onClick={() => void startPeople("hurt")}>
        {say("people.hurt")}
      </button>
    </nav>
  );
}
