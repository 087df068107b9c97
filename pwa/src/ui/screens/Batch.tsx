import { signal } from "@preact/signals";
import type { BatchAnswer } from "../../engine/types.ts";
import { blades } from "../../state/blades.ts";
import { nowMs } from "../../state/moment.ts";
import { go } from "../../state/route.ts";
import { clockText, emsOf } from "../clock_text.ts";
import {
  batchAnswer,
  batchName,
  canTakeOut,
  dropping,
  loadOven,
  pressTile,
  readBatch,
  takeOut,
} from "../flow/batch.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { BigNumber } from "../parts/BigNumber.tsx";
import { PeopleStrip } from "../parts/PeopleStrip.tsx";
import { Curves, Rows, Shown } from "../parts/Pictures.tsx";
import { Shape } from "../parts/Shape.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { SmallRow } from "../parts/SmallRow.tsx";
import { Warns } from "../parts/Warns.tsx";
import { StateWord } from "../parts/WorkingFrame.tsx";
import { say, words } from "../say.ts";

/** As many as stand on small glass; of more, the last place turns over to the next ones. */
const MOST_TILES = 6;
const turned = signal(0);

function Tiles({ tiles }: Pick<BatchAnswer, "tiles">) {
  const room = tiles.length > MOST_TILES ? MOST_TILES - 1 : MOST_TILES;
  const from = turned.value < tiles.length ? turned.value : 0;
  const shown = tiles.slice(from, from + room);
  return (
    <div class="tiles">
      {shown.map((tile) => (
        <Tile key={tile.log_id} tile={tile} />
      ))}
      {room < MOST_TILES && (
        <button type="button" class="small" onClick={() => (turned.value = from + room)}>
          {say("gate.more", { n: tiles.length - shown.length })}
        </button>
      )}
    </div>
  );
}

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
  const undo = { label: say("undo"), off: !canTakeOut(), onPress: takeOut };
  const bath = { label: say("batch.baths"), onPress: () => go("bath", batchName()) };
  const oldest = blades.value.find(({ piece_id }) => piece_id === tiles[0]?.log_id);
  return (
    <main class="work of-gate batch" data-shape={answer.shape}>
      <PeopleStrip label={say("batch.title", { n: tiles.length })} icon="back" onLabel={() => go("blades")} />
      <StateWord fold={answer} />
      <section class="see">
        <BigNumber figure={answer.number} now_ms={nowMs.value} />
        <p class="say">{dropping.value ? say("batch.which") : words(answer.sentence)}</p>
        <Tiles tiles={tiles} />
      </section>
      <div class="do">
        <Warns fold={oldest?.fold} />
        <div class="hazard-slot">{oven && <p class="hazard">{words(oven.advice)}</p>}</div>
        <Next next={next} />
        <SmallRow choices={[drop, bath, undo]} />
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
    <Sitting title={say("batch.baths")} backTo={["batch", batchName()]}>
      {answer?.oven && <p>{words(answer.oven.advice)}</p>}
      {answer?.baths.map((bath) => (
        <BathTable key={bath.name} bath={bath} />
      ))}
    </Sitting>
  );
}
