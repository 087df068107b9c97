import { seen } from "../../actions/catch_up.ts";
import type { Action } from "../../engine/types.ts";
import { type BladeRow, blades } from "../../state/blades.ts";
import { away, nowMs } from "../../state/moment.ts";
import { go } from "../../state/route.ts";
import { rowText } from "../clock_text.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { Shape } from "../parts/Shape.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { perform } from "../perform.ts";
import { say, words } from "../say.ts";

const dangerOf = ({ fold }: BladeRow): number => fold?.catch_up[0]?.danger ?? 9;

/** Blades with something to catch up on: the worst question first, of one kind in the order of the list. */
export function catchUpRows(): readonly BladeRow[] {
  return blades.value.filter((row) => dangerOf(row) < 9).toSorted((a, b) => dangerOf(a) - dangerOf(b));
}

function Item({ row }: { row: BladeRow }) {
  const { fold, piece_id } = row;
  const item = fold?.catch_up[0];
  if (!fold || !item) return null;
  const answer = (action: Action) => {
    seen();
    go("blade", piece_id);
    if (action.do !== "none") perform(piece_id, action);
  };
  return (
    <section>
      <h2 class="catch-up-name">
        <Shape shape={fold.shape} />
        {row.tag} {words(fold.word)}
        <span class="end">{rowText(nowMs.value - fold.state.since_ms)}</span>
      </h2>
      <p>
        <b>{words(item.text)}</b>
      </p>
      <div class="chips">
        {item.answers.map((action) => (
          <button type="button" class="chip" key={words(action.label)} onClick={() => answer(action)}>
            {words(action.label)}
          </button>
        ))}
      </div>
    </section>
  );
}

/** What ran on while nobody looked, and three answers to each. */
export function CatchUp() {
  const rows = catchUpRows();
  const gone = away.value;
  const leave = () => {
    seen();
    go("blades");
  };
  return (
    <Sitting
      title={say("catch_up.title")}
      backTo={["blades"]}
      foot={<ActionButton label={say("catch_up.all")} kind="plain" onPress={leave} />}
    >
      {gone && <p class="soft">{say("catch_up.away", { time: rowText(gone.to_ms - gone.from_ms) })}</p>}
      {rows.length === 0 && <p>{say("catch_up.nothing")}</p>}
      {rows.map((row) => (
        <Item key={row.piece_id} row={row} />
      ))}
    </Sitting>
  );
}
