import { type ModelRow, modelRows, sourceRows } from "../flow/catalogue.ts";
import { Sitting } from "../parts/Sitting.tsx";
import { say, words } from "../say.ts";

/** One model: what it gives, what it was held against, what not to trust. */
function Model({ id, errors }: ModelRow) {
  return (
    <details>
      <summary class="row-button">
        <span>
          {say(`model.${id}`)}
          <small>{say(`model.${id}.range`)}</small>
        </span>
      </summary>
      <div class="source">
        <p>{say(`model.${id}.not`)}</p>
        {errors.map(({ family, text }) => (
          <p key={words(family)}>
            <b>{words(family)}:</b> {words(text)}
          </p>
        ))}
        {errors.length === 0 && <p>{say("model.unmeasured")}</p>}
      </div>
    </details>
  );
}

/** Where the numbers come from. */
export function Sources() {
  return (
    <Sitting title={say("sources.title")} backTo={["settings"]}>
      <h2>{say("model.title")}</h2>
      <p>{say("model.what")}</p>
      {modelRows().map((row) => (
        <Model key={row.id} {...row} />
      ))}
      <h2>{say("sources.list")}</h2>
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

const NOTICES = ["temperward", "barlow", "micropython", "preact", "signals", "idb", "workbox"];

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
