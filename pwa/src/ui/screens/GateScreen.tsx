import type { FoldAnswer, Gate, GateItem, Shape as ShapeName } from "../../engine/types.ts";
import { Shape } from "../parts/Shape.tsx";
import { gateChoices, WorkingFrame } from "../parts/WorkingFrame.tsx";
import { perform } from "../perform.ts";
import { say, words } from "../say.ts";

function shapeOf(item: GateItem): ShapeName {
  if (item.passed) return "circle";
  return item.passed === false && !item.overridable && item.hard ? "octagon" : "triangle";
}

function itemValue(item: GateItem): string {
  if (item.overridden) return say("gate.anyway", { initials: item.overridden.initials });
  return item.value ? words(item.value) : item.passed === null ? say("gate.not_yet") : "";
}

function Item({ piece_id, item }: { piece_id: string; item: GateItem }) {
  const state = item.passed ? "gate.passed" : item.passed === false ? "gate.failed" : "gate.unasked";
  const inside = (
    <>
      <Shape shape={shapeOf(item)} />
      <span>
        {words(item.text)}
        <span class="unseen">: {say(state)}</span>
      </span>
      <em>{itemValue(item)}</em>
    </>
  );
  const { check } = item;
  return (
    <li>
      {check ? (
        <button type="button" class="gate-item" onClick={() => perform(piece_id, check)}>
          {inside}
        </button>
      ) : (
        <div class="gate-item">{inside}</div>
      )}
    </li>
  );
}

/** A stop point: what is there, what is missing, and the one thing to do about it. */
export function GateScreen({ piece_id, fold, gate }: { piece_id: string; fold: FoldAnswer; gate: Gate }) {
  return (
    <WorkingFrame piece_id={piece_id} fold={fold} choices={gateChoices(piece_id, fold)}>
      <ul class="gate-list" aria-label={say(`gate.${gate.id}`)}>
        {gate.items.map((item) => (
          <Item key={item.id} piece_id={piece_id} item={item} />
        ))}
      </ul>
      <p class="say">{words(fold.sentence)}</p>
    </WorkingFrame>
  );
}
