import type { BatchAnswer } from "../../engine/types.ts";
import { nowMs } from "../../state/moment.ts";
import { go } from "../../state/route.ts";
import { clockText, emsOf } from "../clock_text.ts";
import { batchAnswer, dropping, loaded, loadOven, pressTile, readBatch, takeOut } from "../flow/batch.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { BigNumber } from "../parts/BigNumber.tsx";
import { PeopleStrip } from "../parts/PeopleStrip.tsx";
import { Curves, Rows, Shown } from "../parts/Pictures.tsx";
import { Shape } from "../parts/Shape.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { SmallRow } from "../parts/SmallRow.tsx";
import { Hazard, StateWord } from "../parts/WorkingFrame.tsx";
import { say, words } from "../say.ts";

/** As many as stand on small glass; the others are in the list of blades, and the title counts them. */
const MOST_TILES = 6;

function Tile({ tile }: { tile: BatchAnswer["tiles"][number] }) {
  return (
    <button type="button" class={`small tile ${tile.shape}`} onClick={() => pressTile(tile.log_id)}>
      <b style={{ "--ems": emsOf(tile.name) }}>{tile.name}</b>
      <span>
        {tile.shape === "octagon" && <Shape shape="octagon" />}
        {tile.from_ms === null ? words(tile.text) : clockText(nowMs.value - tile.from_ms)}
      </span>
    </button>
  );
}

function Next({ next }: { next: BatchAnswer["next"] }) {
  const press = () => (next.open ? go("blade", next.open) : loadOven(next.load));
  return <ActionButton label={words(next.label)} onPress={press} />;
}

/** Many blades, one bath, one oven: the oldest hard one on top, what comes next, and each blade by its letter. */
export function Batch() {
  readBatch();
  const answer = batchAnswer.value;
  if (!answer) return <Sitting title={say("batch.none")} backTo={["blades"]} children={null} />;
  const { tiles, next, oven } = answer;
  const drop = { label: say("batch.dropped"), onPress: () => (dropping.value = !dropping.value) };
  const undo = { label: say("undo"), off: loaded.value.length === 0, onPress: takeOut };
  return (
    <main class="work of-gate batch" data-shape={answer.shape}>
      <PeopleStrip
        label={say("batch.title", { n: tiles.length })}
        hint={say("more")}
        icon="bars"
        onLabel={() => go("blades")}
      />
      <StateWord fold={answer} />
      <section class="see">
        <BigNumber figure={answer.number} now_ms={nowMs.value} />
        <p class="say">{dropping.value ? say("batch.which") : words(answer.sentence)}</p>
        <div class="tiles">
          {tiles.slice(0, MOST_TILES).map((tile) => (
            <Tile key={tile.log_id} tile={tile} />
          ))}
        </div>
      </section>
      <div class="do">
        <Hazard fold={{ caution: oven?.advice ?? null, hazard_line: null, hazards: [], shape: answer.shape }} />
        <Next next={next} />
        <SmallRow choices={[drop, { label: say("batch.baths"), onPress: () => go("bath") }, undo]} />
      </div>
    </main>
  );
}

const UNKNOWN = { key: "say:?" };

function BathTable({ bath }: { bath: BatchAnswer["baths"][number] }) {
  const columns = ["blade", "before", "after"].map((name, at) => ({
    label: { key: `app.batch.${name}` },
    unit: at > 0 ? "degC" : "",
  }));
  const rows = bath.steps.map(({ name, before_c, after_c, verdict }) => ({
    cells: [{ key: `say:${name}` }, before_c ?? UNKNOWN, after_c ?? UNKNOWN],
    over: verdict === "hot",
  }));
  return (
    <>
      <h2>{bath.name}</h2>
      {bath.picture && (
        <Shown of={bath.picture}>
          <Curves picture={bath.picture} />
        </Shown>
      )}
      <Rows table={{ columns, rows }} />
    </>
  );
}

/** Each bath under the batch, blade by blade, and what follows for the oven. */
export function Baths() {
  readBatch();
  const answer = batchAnswer.value;
  return (
    <Sitting title={say("batch.baths")} backTo={["batch"]}>
      {answer?.oven && <p>{words(answer.oven.advice)}</p>}
      {answer?.baths.map((bath) => (
        <BathTable key={bath.name} bath={bath} />
      ))}
    </Sitting>
  );
}
