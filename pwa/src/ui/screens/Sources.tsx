import { sourceRows } from "../flow/catalogue.ts";
import { Sitting } from "../parts/Sitting.tsx";
import { say } from "../say.ts";

/** Where the numbers come from. */
export function Sources() {
  return (
    <Sitting title={say("sources.title")} backTo={["settings"]}>
      <p>{say("sources.what")}</p>
      <ul class="rows">
        {sourceRows().map(({ id, title, year, verified }) => (
          <li class="row-button" key={id}>
            <span>
              {[title, year].filter(Boolean).join(", ")}
              {verified && <small>{say(`sources.${verified}`)}</small>}
            </span>
          </li>
        ))}
      </ul>
    </Sitting>
  );
}

const NOTICES = ["temperward", "barlow", "micropython", "preact", "signals", "idb", "workbox", "uuid"];

/** Licences of what the app is made of. */
export function Notices() {
  return (
    <Sitting title={say("notices.title")} backTo={["settings"]}>
      <ul class="rows">
        {NOTICES.map((name) => (
          <li class="row-button" key={name}>
            <span>
              {say(`notices.${name}`)}
              <small>{say(`notices.${name}.licence`)}</small>
            </span>
          </li>
        ))}
      </ul>
    </Sitting>
  );
}
