import { silence } from "../../actions/alarms.ts";
import { setDevice } from "../../actions/person.ts";
import { applyUpdate } from "../../actions/update.ts";
import { alarms } from "../../state/alarms.ts";
import { blades, openBlade } from "../../state/blades.ts";
import { dismiss, notices, tell, update } from "../../state/moment.ts";
import { deviceSettings } from "../../state/person.ts";
import { go, route } from "../../state/route.ts";
import { arm } from "../perform.ts";
import { say, words } from "../say.ts";
import { leftText } from "../speech.ts";
import { nearestClock } from "../warning.ts";
import { HoldButton } from "./ActionButton.tsx";
import { figureText } from "./BigNumber.tsx";
import { Shape } from "./Shape.tsx";

/** An alarm: which blade, what to do, the way there, and quiet. It stands above the screen and covers nothing. */
export function RingBar() {
  const ring = alarms.value.ringing;
  if (!ring) return null;
  return (
    <div class={`notice ring ${ring.stage}`} role="alert">
      <button type="button" class="ring-to" onClick={() => go("blade", ring.piece_id)}>
        <Shape shape={ring.stage === "reminder" ? "triangle" : "octagon"} />
        {ring.tag} {words(ring.text)}
      </button>
      <button type="button" class="small" onClick={() => silence()}>
        {say("quiet")}
      </button>
    </div>
  );
}

/** What the person must be told; it stays until it is put away. What was not kept comes before all else. */
export function NoticeBar({ only_not_kept }: { only_not_kept: boolean }) {
  const notice = notices.value.find(({ kind }) => kind === "not_kept") ?? (only_not_kept ? null : notices.value[0]);
  if (!notice) return null;
  // What the calendar can take over from a phone that will be dead.
  const at_risk = notice.id === "battery" && blades.value.find(({ fold }) => fold && nearestClock(fold));
  return (
    <div class={`notice ${notice.kind}`} role="alert">
      <Shape shape={notice.kind === "not_kept" ? "octagon" : "triangle"} />
      {at_risk ? (
        <button type="button" class="ring-to" onClick={() => arm(at_risk.piece_id)}>
          {words(notice.note)}
        </button>
      ) : (
        <span>{words(notice.note)}</span>
      )}
      <button type="button" class="small" onClick={() => dismiss(notice.id)}>
        {say("notice.seen")}
      </button>
    </div>
  );
}

const TOUCH_ON_MS = 1000;

/** The way back from touch off: one second anywhere on a strip as wide as the glass, or pressed twice by a key. */
export function TouchStrip() {
  if (!deviceSettings.value.touch_off) return null;
  return (
    <div class="touch-strip">
      <HoldButton
        label={say("touch.on")}
        kind="plain"
        aside
        hold_ms={TOUCH_ON_MS}
        onPress={() => void setDevice({ touch_off: false })}
      />
    </div>
  );
}

/** A new version waits for one tap at a safe moment. */
export function UpdateLine() {
  if (!update.value.waiting) return null;
  const take = () => {
    const why_not = applyUpdate();
    if (why_not) tell({ id: "update", kind: "info", note: why_not });
  };
  return (
    <button type="button" class="row-button" onClick={take}>
      {say("update.take")}
    </button>
  );
}

/** Told to a screen reader: the state when it changes, the time only at its thresholds. */
export function Status() {
  const fold = openBlade.value?.fold;
  if (!fold || route.value.name !== "blade" || route.value.id !== fold.log_id)
    return <p class="unseen" role="status" />;
  const { kind, until_ms } = fold.number;
  const figure = kind === "elapsed" || until_ms !== undefined ? "" : figureText(fold.number, 0).digits;
  return (
    <p class="unseen" role="status">
      {[fold.tag, words(fold.word), words(fold.sentence), figure, leftText(fold)].filter(Boolean).join(". ")}
    </p>
  );
}
