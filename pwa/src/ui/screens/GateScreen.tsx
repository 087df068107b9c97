import type { FoldAnswer, Gate, GateItem, Shape as ShapeName } from "../../engine/types.ts";
import { Shape } from "../parts/Shape.tsx";
import { gateChoices, WorkingFrame } from "../parts/WorkingFrame.tsx";
import { say, words } from "../say.ts";

function shapeOf(item: GateItem): ShapeName {
  if (item.passed) return "circle";
  return item.passed === false && !item.overridable && item.hard ? "octagon" : "triangle";
}

function itemValue(item: GateItem): string {
  if (item.overridden) return say("gate.anyway", { initials: item.overridden.initials });
  return item.value ? words(item.value) : item.passed === null ? say("gate.not_yet") : "";
}

function Item({ item }: { item: GateItem }) {
  const state = item.passed ? "gate.passed" : item.passed === false ? "gate.failed" : "gate.unasked";
  return (
    <li class={`gate-item ${item.passed ? "passed" : ""}`}>
      <Shape shape={shapeOf(item)} />
      <span>
        {words(item.text)}
        <span class="unseen">: {say(state)}</span>
      </span>
      <em>{itemValue(item)}</em>
    </li>
  );
}

/** As many lines as the screen holds without scrolling. */
const mostLines = () => (innerHeight < 720 ? 6 : 8);

/** What stands against the stop point is always shown; of what is in order, what there is room for, the rest counted. */
function shownItems(items: readonly GateItem[]): { readonly shown: readonly GateItem[]; readonly more: number } {
  const open = items.filter((item) => !item.passed);
  const passed = items.filter((item) => item.passed);
  const room = Math.max(0, mostLines() - open.length);
  const shown = passed.length > room ? passed.slice(0, Math.max(0, room - 1)) : passed;
  return { shown: [...open, ...shown], more: passed.length - shown.length };
}

/** A stop point: what is there, what is missing, and the one thing to do about it. The list is read, not pressed. */
export function GateScreen({ piece_id, fold, gate }: { piece_id: string; fold: FoldAnswer; gate: Gate }) {
  const { shown, more } = shownItems(gate.items);
  return (
    <WorkingFrame piece_id={piece_id} fold={fold} choices={gateChoices(piece_id, fold)}>
      <ul class="gate-list" aria-label={say(`gate.${gate.id}`)}>
        {shown.map((item) => (
          <Item key={item.id} item={item} />
        ))}
        {more > 0 && (
          <li class="gate-item passed">
            <Shape shape="circle" />
            <span>{say("gate.more", { n: more })}</span>
          </li>
        )}
      </ul>
      <p class="say">{words(fold.sentence)}</p>
    </WorkingFrame>
  );
}
