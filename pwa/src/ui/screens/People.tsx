import { allClear } from "../../actions/people.ts";
import type { PeopleState } from "../../engine/types.ts";
import { HoldButton } from "../parts/ActionButton.tsx";
import { Shape } from "../parts/Shape.tsx";
import { say } from "../say.ts";

const LINES: Readonly<Record<PeopleState, number>> = { fire: 5, co: 3, hurt: 4 };

/** People first: nothing else is on the screen, and nothing else rings. */
export function People({ kind }: { kind: PeopleState }) {
  const lines = Array.from({ length: LINES[kind] }, (_, at) => say(`people.${kind}.${at + 2}`));
  return (
    <main class="people-view">
      <h1>
        <Shape shape="octagon" ink />
        {say(`people.${kind}`)}
      </h1>
      <p class="first" role="alert">
        {say(`people.${kind}.1`)}
      </p>
      {lines.map((line) => (
        <p key={line}>{line}</p>
      ))}
      <div class="foot">
        <HoldButton label={say("people.all_clear")} onPress={() => void allClear()} />
      </div>
    </main>
  );
}
