import type { Clock } from "../../engine/types.ts";
import { warnersOf } from "../../state/alarms.ts";
import { say } from "../say.ts";
import { Shape } from "./Shape.tsx";

/** Who will warn of this clock, told truly: nobody is said aloud, in stop-shape. */
export function Warns({ clock, short = false }: { clock: Clock | undefined; short?: boolean }) {
  if (!clock || clock.stages.length === 0) return short ? null : <p class="warns" />;
  const who = warnersOf(clock).map((warner) => say(`warns.${warner}`));
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
