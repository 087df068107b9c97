import { saveExport, sendAgain, syncNow } from "../../actions/sync.ts";
import { health } from "../../state/moment.ts";
import { outbox, type SyncState } from "../../state/outbox.ts";
import { go } from "../../state/route.ts";
import { shop } from "../../state/shop.ts";
import { entryText } from "../entry_text.ts";
import { putOut, readDevices, shopDevices, takeFile } from "../flow/devices.ts";
import { askJoinCode, joinCode } from "../flow/people_forms.ts";
import { Line } from "../parts/Fields.tsx";
import { say, sayOr } from "../say.ts";
import { clockTime, dayText } from "../time_text.ts";

function Code() {
  const code = joinCode.value;
  if (shop.value.role !== "owner" || !shop.value.joined) return null;
  return (
    <Line
      title={code ? code.code : say("join.one_more")}
      small={code ? say("join.until", { time: clockTime(code.expires_ms) }) : say("join.code_hint")}
    >
      <button type="button" class="chip" onClick={askJoinCode}>
        {say("join.make_code")}
      </button>
    </Line>
  );
}

/** Every phone of the shop, for its owner: a lost one can be put out. */
function Devices() {
  if (shop.value.role !== "owner" || !shop.value.joined) return null;
  const found = shopDevices.value;
  if (!found) {
    return (
      <li>
        <button type="button" class="row-button" onClick={readDevices}>
          {say("devices.show")}
        </button>
      </li>
    );
  }
  return (
    <>
      {found.map(({ device_id, name, role, revoked_ms, own }) => (
        <Line key={device_id} title={name} small={say(`devices.${revoked_ms ? "out" : own ? "this" : role}`)}>
          {!revoked_ms && !own && (
            <button type="button" class="chip" onClick={() => putOut(device_id)}>
              {say("devices.put_out")}
            </button>
          )}
        </Line>
      ))}
    </>
  );
}

/** What no server has yet; a phone in no shop says that none has a copy. */
function Waiting({ only_here, state }: { only_here: string; state: SyncState }) {
  if (!shop.value.joined) return only_here ? <Line title={only_here} small={say("sync.no_server")} /> : null;
  return (
    <Line title={only_here || say("sync.all_there")} small={say(`sync.${state}`)}>
      <button type="button" class="chip" onClick={() => void syncNow()}>
        {say("sync.now")}
      </button>
    </Line>
  );
}

/** Where the entries go, what is only on this phone, and the way to carry it off. */
export function SyncSettings({ only_here, state }: { only_here: string; state: SyncState }) {
  const { joined, name } = shop.value;
  const { last_contact_ms, refused, refused_photos } = outbox.value;
  const set_aside = [
    ...refused.map(({ entry, reason }) => [entry.id, entryText(entry), reason] as const),
    ...Object.entries(refused_photos).map(([sha256, reason]) => [sha256, say("entry.photo"), reason] as const),
  ];
  const contact =
    last_contact_ms === null ? say("sync.never") : `${dayText(last_contact_ms)}, ${clockTime(last_contact_ms)}`;
  return (
    <>
      <h2>{say("sync.title")}</h2>
      <ul class="rows">
        <Line title={joined ? name : say("sync.alone")} small={say("sync.contact", { contact })}>
          <button type="button" class="chip" onClick={() => go("join")}>
            {say("sync.join")}
          </button>
        </Line>
        <Waiting only_here={only_here} state={state} />
        {set_aside.map(([id, title, reason]) => (
          <Line key={id} title={title} small={say("sync.why_refused", { reason: sayOr(`sync.why.${reason}`, reason) })}>
            <button type="button" class="chip" onClick={() => void sendAgain(id)}>
              {say("sync.again")}
            </button>
          </Line>
        ))}
        <Line title={say("sync.export")} small={say("sync.export_hint")}>
          <button type="button" class="chip" onClick={() => void saveExport()}>
            {say("sync.save")}
          </button>
        </Line>
        <li>
          <label class="row-button">
            {say("sync.read_file")}
            <input
              class="unseen"
              type="file"
              accept="application/json,.json"
              onChange={(event) => {
                const file = event.currentTarget.files?.[0];
                if (file) takeFile(file);
                event.currentTarget.value = "";
              }}
            />
          </label>
        </li>
        <Code />
        <Devices />
      </ul>
      {health.value.persisted !== true && <p class="soft">{say("sync.not_persisted")}</p>}
      {!health.value.secure && <p class="soft">{say("sync.not_secure")}</p>}
    </>
  );
}
