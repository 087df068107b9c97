import { moveMark } from "../../actions/corrections.ts";
import type { Entry } from "../../engine/types.ts";
import { type OpenBlade, openBlade } from "../../state/blades.ts";
import { nowMs } from "../../state/moment.ts";
import { go } from "../../state/route.ts";
import { entryText } from "../entry_text.ts";
import { endForm, type Form, formFor, setValue, textIn } from "../flow/form.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say } from "../say.ts";
import { clockTime, instantOf } from "../time_text.ts";

const BACK_S = [10, 30, 60, 120, 300, 600, 1800];
const STEP_S = 5;

/** What can be moved: what happened, newest first; not what was taken back. */
export function movable(blade: OpenBlade): readonly Entry[] {
  const gone = new Set(blade.fold?.withdrawn ?? []);
  return blade.entries.filter(({ kind, id }) => (kind === "mark" || kind === "check") && !gone.has(id)).toReversed();
}

/** What the last correction that stands says of an entry, if it says this at all. */
export function corrected(blade: OpenBlade, entry: Entry, name: "happened_ms" | "body"): unknown {
  const gone = blade.fold?.withdrawn ?? [];
  return blade.entries.findLast(
    ({ id, kind, body }) => kind === "correct" && body.entry_id === entry.id && body[name] && !gone.includes(id),
  )?.body[name];
}

/** The instant an entry stands for now: its own, or that of its last correction. */
export function claimedMs(blade: OpenBlade, entry: Entry): number {
  return (corrected(blade, entry, "happened_ms") as number | undefined) ?? entry.happened_ms;
}

function move(piece_id: string, entry: Entry, at_ms: number, form: Form): void {
  const when = { happened_ms: at_ms, plus_minus_s: STEP_S, at_source: "back_dated" as const };
  void moveMark(entry.log_id, entry.id, when).then((kept) => {
    if (!kept.kept) return;
    endForm(form);
    go("blade", piece_id);
  });
}

function Steps({ form, at_ms }: { form: Form; at_ms: number }) {
  const by = (seconds: number) => setValue(form, "at_ms", String(Math.min(nowMs.value, at_ms + seconds * 1000)));
  return (
    <>
      <div class="chips short">
        {BACK_S.map((seconds) => (
          <button type="button" class="chip" key={seconds} onClick={() => by(-seconds)}>
            {seconds < 60 ? say("earlier.seconds", { n: seconds }) : say("earlier.minutes", { n: seconds / 60 })}
          </button>
        ))}
      </div>
      <div class="chips">
        <button type="button" class="chip" onClick={() => by(-STEP_S)}>
          {say("earlier.step_back", { n: STEP_S })}
        </button>
        <button type="button" class="chip" onClick={() => by(STEP_S)}>
          {say("earlier.step_on", { n: STEP_S })}
        </button>
      </div>
    </>
  );
}

/** It was earlier: move the last mark, or any other, by steps or to a clock time. */
export function Earlier({ piece_id, entry_id }: { piece_id: string; entry_id: string | undefined }) {
  const blade = openBlade.value;
  if (!blade) return null;
  const marks = movable(blade);
  const entry = marks.find(({ id }) => id === entry_id) ?? marks.find(({ kind }) => kind === "mark") ?? marks[0];
  if (!entry) {
    return (
      <Sitting title={say("it_was_earlier")} backTo={["blade", piece_id]}>
        <p>{say("earlier.none")}</p>
      </Sitting>
    );
  }
  const was_ms = claimedMs(blade, entry);
  const form = formFor(`earlier:${entry.id}`, { at_ms: "" });
  const at_ms = Number(textIn(form, "at_ms")) || was_ms;
  const foot = (
    <ActionButton
      label={say("earlier.keep", { time: clockTime(at_ms, true) })}
      disabled={at_ms === was_ms}
      onPress={() => move(piece_id, entry, at_ms, form)}
    />
  );
  return (
    <Sitting title={entryText(entry)} backTo={["blade", piece_id]} foot={foot}>
      <p>{say("earlier.marked", { time: clockTime(was_ms, true) })}</p>
      <Steps form={form} at_ms={at_ms} />
      <label class="field">
        <span>{say("earlier.clock")}</span>
        <input
          type="time"
          step="1"
          value={clockTime(at_ms, true)}
          onChange={(event) => {
            const found_ms = instantOf(event.currentTarget.value, was_ms);
            if (found_ms !== null) setValue(form, "at_ms", String(Math.min(nowMs.value, found_ms)));
          }}
        />
      </label>
      <h2>{say("earlier.another")}</h2>
      <ul class="rows">
        {marks.slice(0, 8).map((mark) => (
          <li key={mark.id}>
            <button type="button" class="row-button" onClick={() => go("blade", piece_id, "earlier", mark.id)}>
              <span>{entryText(mark)}</span>
              <span class="end">{clockTime(claimedMs(blade, mark), true)}</span>
            </button>
          </li>
        ))}
      </ul>
    </Sitting>
  );
}
