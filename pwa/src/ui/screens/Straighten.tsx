import type { FoldAnswer } from "../../engine/types.ts";
import { nowMs } from "../../state/moment.ts";
import { Digits } from "../parts/BigNumber.tsx";
import { WorkingFrame } from "../parts/WorkingFrame.tsx";
import { words } from "../say.ts";

/** Straighten now: the bar shrinks on the nominal; the word changes when the early end of the band is reached. */
export function Straighten({ piece_id, fold }: { piece_id: string; fold: FoldAnswer }) {
  const span = fold.window;
  const now_ms = nowMs.value;
  const bend_ms = span ? Math.max(0, span.bend_until_ms - now_ms) : 0;
  const share = span ? Math.min(1, bend_ms / Math.max(1, span.bend_until_ms - span.open_ms)) : 0;
  const { until_ms, from_ms } = fold.number;
  const count_ms = until_ms === undefined ? now_ms - (from_ms ?? now_ms) : until_ms - now_ms;
  return (
    <WorkingFrame piece_id={piece_id} fold={fold}>
      <Digits digits={String(Math.max(0, Math.ceil(count_ms / 1000)))} unit="s" />
      <p class="caption">{words(fold.number.caption)}</p>
      <div class={`bar ${share === 0 ? "shut" : ""}`} aria-hidden="true">
        <i style={{ transform: `scaleX(${share})` }} />
      </div>
      <p class="say">{words(fold.sentence)}</p>
    </WorkingFrame>
  );
}
