import type { FoldAnswer } from "../../engine/types.ts";
import { nowMs } from "../../state/moment.ts";
import { go } from "../../state/route.ts";
import { BigNumber } from "../parts/BigNumber.tsx";
import { BowPicture } from "../parts/BowPicture.tsx";
import { WorkingFrame } from "../parts/WorkingFrame.tsx";
import { whole } from "../say.ts";
import { nearestClock } from "../warning.ts";

/** The working screen of one blade: also the brittle clock, the cooling and the temper. Everything on it comes from the fold. */
export function Step({ piece_id, fold }: { piece_id: string; fold: FoldAnswer }) {
  const bow = fold.number.unit === "mm" ? fold.bows.at(-1) : undefined;
  // A mark that came too late makes the clock of a hard blade too kind: the number itself leads to moving it.
  const [, mark] = fold.screen === "brittle" ? (nearestClock(fold)?.id.split(":") ?? []) : [];
  return (
    <WorkingFrame piece_id={piece_id} fold={fold}>
      <BigNumber
        figure={fold.number}
        now_ms={nowMs.value}
        onPress={mark && (() => go("blade", piece_id, "earlier", mark))}
      />
      {bow && <BowPicture reading={bow} bare />}
      {fold.set && <p class="set">{whole(fold.set)}</p>}
      <p class="say">{whole(fold.sentence)}</p>
    </WorkingFrame>
  );
}
