import type { FoldAnswer } from "../../engine/types.ts";
import { nowMs } from "../../state/moment.ts";
import { BigNumber } from "../parts/BigNumber.tsx";
import { BowPicture } from "../parts/BowPicture.tsx";
import { Warns } from "../parts/Warns.tsx";
import { WorkingFrame } from "../parts/WorkingFrame.tsx";
import { words } from "../say.ts";

/** The clock whose deadline comes first is the one to be told about. */
function nearestClock(fold: FoldAnswer) {
  return [...fold.clocks]
    .filter((clock) => clock.stages.length > 0)
    .sort((one, other) => (one.due_ms ?? Infinity) - (other.due_ms ?? Infinity))[0];
}

/** The working screen of one blade: also the brittle clock, the cooling and the temper. Everything on it comes from the fold. */
export function Step({ piece_id, fold }: { piece_id: string; fold: FoldAnswer }) {
  const bow = fold.number.unit === "mm" ? fold.bows.at(-1) : undefined;
  return (
    <WorkingFrame
      piece_id={piece_id}
      fold={fold}
      see={bow ? "with-bow" : fold.number.kind === "none" ? "no-number" : ""}
    >
      <BigNumber figure={fold.number} now_ms={nowMs.value} />
      {bow && <BowPicture reading={bow} bare />}
      {fold.set && <p class="set">{words(fold.set)}</p>}
      <p class="say">{words(fold.sentence).replace(" °", "\u00a0°")}</p>
      {!(bow && fold.clocks.length === 0) && <Warns clock={nearestClock(fold)} />}
    </WorkingFrame>
  );
}
