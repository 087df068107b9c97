import { answerTest, enablePush, forgetPush, testAlarm, testCalendar } from "../../actions/alarms.ts";
import { type AlarmWay, alarms, type PushState, warners } from "../../state/alarms.ts";
import { Line } from "../parts/Fields.tsx";
import { OnOff } from "../parts/Setting.tsx";
import { Shape } from "../parts/Shape.tsx";
import { warnerName } from "../parts/Warns.tsx";
import { say } from "../say.ts";
import { clockTime } from "../time_text.ts";

const WAYS: readonly AlarmWay[] = ["sound", "light", "vibration", "wake_lock", "calendar", "push"];
/** A test of these is only good when somebody noticed it. */
const NOTICED = new Set<AlarmWay>(["sound", "light", "vibration"]);

/** Where asking again can come to something: a phone that said no is not asked for ever. */
const PUSH_ASKS = new Set<PushState>(["on", "off", "no_server", "failed"]);

function test(way: AlarmWay): void {
  if (way === "calendar") void testCalendar(say("alarm.test_title"));
  else void testAlarm(way);
}

function Way({ way }: { way: AlarmWay }) {
  const result = alarms.value.tests[way];
  const small = result
    ? say("alarm.tested", { result: say(`alarm.${result.result}`), time: clockTime(result.at_ms) })
    : say("alarm.untested");
  return (
    <Line title={say(`alarm.${way}`)} small={small}>
      <button
        type="button"
        class="chip"
        aria-label={say("alarm.test_one", { way: say(`alarm.${way}`) })}
        onClick={() => test(way)}
      >
        {say("alarm.test")}
      </button>
      {NOTICED.has(way) && result?.result === "worked" && (
        <button type="button" class="chip" onClick={() => void answerTest(way, false)}>
          {say("alarm.missed_it")}
        </button>
      )}
    </Line>
  );
}

/** Which alarms are on, told truly, with a test of each. */
export function AlarmSettings() {
  const who = warners.value.map(warnerName);
  const { push } = alarms.value;
  return (
    <>
      <h2>{say("alarm.title")}</h2>
      {who.length === 0 ? (
        <p class="refused">
          <Shape shape="octagon" />
          <span>{say("alarm.nobody")}</span>
        </p>
      ) : (
        <p>{say("alarm.who", { who: who.join(", ") })}</p>
      )}
      <OnOff name="grinding_on" />
      <p class="soft">{say("alarm.grinder")}</p>
      <ul class="rows">
        <Line title={say("alarm.all")}>
          <button
            type="button"
            class="chip"
            aria-label={say("alarm.test_one", { way: say("alarm.all") })}
            onClick={() => WAYS.forEach(test)}
          >
            {say("alarm.test")}
          </button>
        </Line>
        {WAYS.map((way) => (
          <Way key={way} way={way} />
        ))}
        <Line title={say("alarm.push_state")} small={say(`alarm.push.${push}`)}>
          {PUSH_ASKS.has(push) && (
            <button type="button" class="chip" onClick={() => void (push === "on" ? forgetPush() : enablePush())}>
              {say(push === "on" ? "alarm.push_off" : "alarm.push_on")}
            </button>
          )}
        </Line>
      </ul>
    </>
  );
}
