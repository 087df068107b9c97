import type { FoldAnswer, Shape as ShapeName } from "../../engine/types.ts";
import { type BladeRow, blades, bladesRead } from "../../state/blades.ts";
import { nowMs } from "../../state/moment.ts";
import { outbox, type SyncState } from "../../state/outbox.ts";
import { go } from "../../state/route.ts";
import { rowText } from "../clock_text.ts";
import { howMany } from "../entry_text.ts";
import { batches } from "../flow/batch.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { UpdateLine } from "../parts/Overlays.tsx";
import { PeopleStrip } from "../parts/PeopleStrip.tsx";
import { Shape } from "../parts/Shape.tsx";
import { say, words } from "../say.ts";
import { shown } from "../units.ts";

function timeOf(fold: FoldAnswer, now_ms: number): string {
  const { number } = fold;
  if (number.kind === "elapsed" && number.from_ms !== undefined) return rowText(now_ms - number.from_ms);
  if (number.kind === "countdown" && number.until_ms !== undefined) return rowText(number.until_ms - now_ms);
  if (number.kind === "temperature" && number.value !== undefined) return shown(number.value, "temperature");
  return "";
}

function secondLine(fold: FoldAnswer): string {
  const next = fold.next && fold.next.do !== "none" ? words(fold.next.label) : "";
  return words(fold.sentence) || next;
}

function Row({ row }: { row: BladeRow }) {
  const { fold } = row;
  const shape: ShapeName = fold?.shape ?? "triangle";
  return (
    <li>
      <button type="button" class={`blade-row ${shape}`} onClick={() => go("blade", row.piece_id)}>
        <Shape shape={shape} />
        <span>
          <b>
            <span>{row.tag}</span> <span>{fold ? words(fold.word) : ""}</span>
          </b>
          <small>{fold ? secondLine(fold) : say("blades.reading")}</small>
        </span>
        <span class="time">{fold ? timeOf(fold, nowMs.value) : ""}</span>
      </button>
    </li>
  );
}

/** How much is only on this phone; nothing when everything is on the server. */
export function onlyHere(): string {
  const what = howMany(outbox.value.entries, outbox.value.photos);
  return what && say("only_here", { what });
}

/** What does not mend by itself is said where everybody looks. */
const STOPPED = new Set<SyncState>(["signed_out", "upgrade_needed", "refused"]);

/** All blades, the most urgent first. */
export function Blades() {
  return (
    <main class="sit">
      <div class="run" />
      <PeopleStrip label={say("menu")} icon="bars" onLabel={() => go("settings")} />
      <h1>{say("blades.title")}</h1>
      <UpdateLine />
      {onlyHere() && <p class="soft">{onlyHere()}</p>}
      {STOPPED.has(outbox.value.state) && (
        <p class="refused">
          <Shape shape="triangle" />
          <span>{say(`sync.${outbox.value.state}`)}</span>
        </p>
      )}
      {bladesRead.value && blades.value.length === 0 && <p>{say("blades.none")}</p>}
      {batches().map(({ name, n }) => (
        <button type="button" class="row-button" key={name} onClick={() => go("batch", name)}>
          {say("batch.to", { n })}
        </button>
      ))}
      <ul class="rows">
        {blades.value.map((row) => (
          <Row key={row.piece_id} row={row} />
        ))}
      </ul>
      <div class="sit-foot">
        <ActionButton label={say("blades.new")} onPress={() => go("new")} />
      </div>
    </main>
  );
}
