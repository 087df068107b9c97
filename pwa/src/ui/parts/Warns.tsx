import type { Clock } from "../../engine/types.ts";
import { alarms, type Warner, warnersOf } from "../../state/alarms.ts";
import { say } from "../say.ts";
import { Shape } from "./Shape.tsx";

/** A warner by name; a phone that would not promise to stay lit warns only while it is. */
export function warnerName(warner: Warner): string {
  const { wake_lock } = alarms.value;
  const may_sleep = warner === "screen" && (wake_lock === "refused" || wake_lock === "unsupported");
  return say(`warns.${warner}${may_sleep ? "_lit" : ""}`);
}

/** Who will warn of this clock, told truly: nobody is said aloud, in stop-shape. */
export function Warns({ clock, short = false }: { clock: Clock | undefined; short?: boolean }) {
  if (!clock || clock.stages.length === 0) return short ? null : <p class="warns" />;
  const who = warnersOf(clock).map(warnerName);
  if (who.length === 0) {
    return (
      <p class="warns nobody">
        <Shape shape="octagon" />
        {say("warns.nobody")}
      </p>
    );
  }
  return <p class="warns">{say(short ? "warns.short" : "warns.line", { who: who.join(" · ") })}</p>;
}
