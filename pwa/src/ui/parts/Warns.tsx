import type { FoldAnswer } from "../../engine/types.ts";
import { alarms, type Warner, warnersOf } from "../../state/alarms.ts";
import { deviceSettings } from "../../state/person.ts";
import { say } from "../say.ts";
import { nearestClock } from "../warning.ts";
import { Shape } from "./Shape.tsx";

/** A warner by name; a phone that would not promise to stay lit warns only while it is, at the grinder only by its light. */
export function warnerName(warner: Warner): string {
  const { wake_lock } = alarms.value;
  if (warner === "screen" && deviceSettings.value.grinding_on) return say("warns.light");
  const may_sleep = warner === "screen" && (wake_lock === "refused" || wake_lock === "unsupported");
  return say(`warns.${warner}${may_sleep ? "_lit" : ""}`);
}

/** Who will warn of the next deadline, told truly: nobody is said aloud, in stop-shape. Its place stays when there is none. */
export function Warns({ fold }: { fold: FoldAnswer | null | undefined }) {
  const clock = fold && nearestClock(fold);
  if (!clock) return <p class="warns" />;
  const who = warnersOf(clock).map(warnerName);
  if (who.length > 0) return <p class="warns">{say("warns.line", { who: who.join(" · ") })}</p>;
  return (
    <p class="warns nobody">
      <Shape shape="octagon" />
      {say("warns.nobody")}
    </p>
  );
}
