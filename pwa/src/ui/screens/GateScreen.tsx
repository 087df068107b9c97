import type { FoldAnswer, Gate, GateItem, Shape as ShapeName } from "../../engine/types.ts";
import { Shape } from "../parts/Shape.tsx";
import { WorkingFrame } from "../parts/WorkingFrame.tsx";
import { say, whole, words } from "../say.ts";
import { nearestClock } from "../warning.ts";

function shapeOf(item: GateItem): ShapeName {
  if (item.passed) return "circle";
  return item.passed === false && !item.overridable && item.hard ? "octagon" : "triangle";
}

function itemValue(item: GateItem): string {
  if (item.overridden) return say("gate.anyway", { initials: item.overridden.initials });
  return item.value ? words(item.value) : item.passed === null ? say("gate.not_yet") : "";
}

/** One line; or, where there is no room, how many more there are from this one on. */
function Item({ item, more }: { item: GateItem; more?: number }) {
  const state = item.passed ? "gate.passed" : item.passed === false ? "gate.failed" : "gate.unasked";
  return (
    <li class={`gate-item ${item.passed ? "passed" : ""}`}>
      <Shape shape={shapeOf(item)} />
      <span>
        {more ? say("gate.more", { n: more }) : words(item.text)}
        <span class="unseen">: {say(state)}</span>
      </span>
      {!more && <em>{itemValue(item)}</em>}
    </li>
  );
}

/** As many lines as the screen holds without scrolling, beside who warns and the caution. */
function mostLines(fold: FoldAnswer): number {
  if (innerHeight >= 720) return 8;
  return innerHeight < 500 ? 6 : 7 - 2 * (Number(!!nearestClock(fold)) + Number(!!fold.caution));
}

/** A stop point: what stands against it first, then what is in order, as far as there is room; the rest is counted. */
export function GateScreen({ piece_id, fold, gate }: { piece_id: string; fold: FoldAnswer; gate: Gate }) {
  const items = [...gate.items].sort((one, other) => Number(one.passed ?? false) - Number(other.passed ?? false));
  const most = mostLines(fold);
  const room = items.length > most ? most - 1 : items.length;
  const rest = items.slice(room);
  return (
    <WorkingFrame piece_id={piece_id} fold={fold}>
      <ul class="gate-list" aria-label={say(`gate.${gate.id}`)}>
        {items.slice(0, room).map((item) => (
          <Item key={item.id} item={item} />
        ))}
        {rest[0] && <Item item={rest[0]} more={rest.length} />}
      </ul>
      <p class="say">{whole(fold.sentence)}</p>
    </WorkingFrame>
  );
}
