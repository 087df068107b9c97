import { makeOverride } from "../../actions/overrides.ts";
import type { Action, FoldAnswer } from "../../engine/types.ts";
import { person } from "../../state/person.ts";
import { go } from "../../state/route.ts";
import { endForm, type Form, formFor, textIn } from "../flow/form.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { TextField } from "../parts/Fields.tsx";
import { Shape } from "../parts/Shape.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say, words } from "../say.ts";

function goAnyway(piece_id: string, gate: string, items: readonly string[], form: Form, least = 1): void {
  const reason = textIn(form, "reason").trim();
  const initials = textIn(form, "initials").trim();
  if (reason.length < least) form.missing.value = "reason";
  else if (initials === "") form.missing.value = "initials";
  else {
    void makeOverride(piece_id, gate, items, reason, initials).then((kept) => {
      if (!kept.kept) return;
      endForm(form);
      go("blade", piece_id);
    });
  }
}

/** What the fold offers a way around just now: that, and not all else that stands against the stop point. */
function offeredBy(fold: FoldAnswer, gate: string): Action | null | undefined {
  const offered = [fold.next, ...fold.offers, ...fold.more];
  return offered.find((action) => action?.do === "override" && action.gate === gate);
}

/** Go anyway: say why. What has no way round is named, never offered. */
export function Override({ piece_id, fold, gate }: { piece_id: string; fold: FoldAnswer; gate: string }) {
  const offered = offeredBy(fold, gate);
  const named = offered?.items ?? [];
  const items = (fold.gates.find(({ id }) => id === gate)?.items ?? []).filter(
    (item) => !item.passed && !item.overridden && (!item.overridable || named.includes(item.id)),
  );
  const can = items.filter((item) => item.overridable);
  const form = formFor(`override:${piece_id}:${gate}`, { reason: "", initials: person.value.initials });
  const ids = can.map(({ id }) => id);
  // "Go anyway: say why", or what else was pressed: its first half is what is done with the reason.
  const title = words(offered?.label) || say("override.no_way_round");
  const [what = title] = title.split(":");
  const foot = can.length > 0 && (
    <ActionButton label={what} kind="wait" onPress={() => goAnyway(piece_id, gate, ids, form, offered?.least)} />
  );
  return (
    <Sitting title={title} backTo={["blade", piece_id]} foot={foot}>
      <ul class="rows">
        {items.map((item) => (
          <li key={item.id} class="row-button">
            <Shape shape={item.overridable ? "triangle" : "octagon"} />
            <span>
              {words(item.text)}
              <small>{item.overridable ? words(item.value) : say("override.no_way_round")}</small>
            </span>
          </li>
        ))}
      </ul>
      {can.length > 0 && <TextField form={form} name="reason" />}
      {can.length > 0 && <TextField form={form} name="initials" />}
      <p class="soft">{say("override.printed")}</p>
    </Sitting>
  );
}
