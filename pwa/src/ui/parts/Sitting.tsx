import type { ComponentChildren } from "preact";
import type { Refusal } from "../../engine/types.ts";
import { go } from "../../state/route.ts";
import { fieldLabel, say, words } from "../say.ts";
import { kindOfName, kindOfUnit, scaleOf, shownNumber } from "../units.ts";
import { FieldPad } from "./Pad.tsx";
import { PeopleStrip } from "./PeopleStrip.tsx";
import { Shape } from "./Shape.tsx";

interface Props {
  readonly title: string;
  readonly backTo: readonly [string, ...string[]];
  readonly children: ComponentChildren;
  readonly foot?: ComponentChildren;
  readonly onBack?: () => void;
}

/** What every sitting screen has in the same places. The run of oxide colours is the only ornament. */
export function Sitting({ title, backTo, children, foot, onBack }: Props) {
  const leave = () => {
    onBack?.();
    go(...backTo);
  };
  return (
    <main class="sit">
      <div class="run" />
      <PeopleStrip label={say("back")} icon="back" onLabel={leave} />
      <h1>{title}</h1>
      {children}
      <div class="sit-foot">
        <FieldPad />
        {foot}
      </div>
    </main>
  );
}

/** Why a value was not taken: field, value, range and unit, at the field itself. */
export function Refused({ refusal }: { refusal: Refusal | null | undefined }) {
  if (!refusal) return null;
  return (
    <p class="refused" role="alert">
      <Shape shape="octagon" />
      <span>{refusalText(refusal)}</span>
    </p>
  );
}

/** A refusal in words, its range in the person's unit. */
export function refusalText(refusal: Refusal): string {
  const kind = refusal.unit ? kindOfUnit(refusal.unit) : kindOfName(refusal.field);
  const figure = (value: unknown) => (typeof value === "number" ? shownNumber(value, kind) : String(value ?? ""));
  const facts = {
    field: fieldLabel(refusal.field),
    value: figure(refusal.value),
    low: figure(refusal.low),
    high: figure(refusal.high),
    unit: scaleOf(kind).name || (refusal.unit ?? ""),
    choices: (refusal.choices ?? []).join(", "),
  };
  const ranged = typeof refusal.low === "number" && typeof refusal.high === "number";
  const range = ranged && say(`refused.${typeof refusal.value === "number" ? "range" : "takes"}`, facts);
  const reason = range && refusal.reason === "refusal.out_of_range" ? "" : words({ key: refusal.reason, facts });
  return `${facts.field}: ${[reason, range].filter(Boolean).join(" ")}`;
}
