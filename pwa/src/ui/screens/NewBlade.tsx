import { thingsOf } from "../../state/shop.ts";
import { MEDIA } from "../check_forms.ts";
import { steelRows } from "../flow/catalogue.ts";
import { type Form, setValue, textIn } from "../flow/form.ts";
import { asking, cardPreview, changing, keepCard, leaveNew, newBladeForm, previewCard } from "../flow/new_blade.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { CardView } from "../parts/CardView.tsx";
import { ChipField, NumberField, SelectField, TextField } from "../parts/Fields.tsx";
import { Refused, Sitting } from "../parts/Sitting.tsx";
import { say } from "../say.ts";
import { YesNo } from "./CheckScreen.tsx";

const plain = (choice: string) => choice;
/** Fields that show their own refusal; any other is said above the action. */
const OWN = new Set(["tag", "steel", "thickness_mm", "edge_mm", "length_mm", "width_mm", "target_hrc", "cycles"]);

function Baths({ form }: { form: Form }) {
  const baths = thingsOf("bath");
  if (baths.length === 0) return <ChipField form={form} name="medium" choices={MEDIA} />;
  const choose = (bath_id: string, medium: unknown) => {
    setValue(form, "bath", bath_id);
    if (typeof medium === "string") setValue(form, "medium", medium);
  };
  return (
    <>
      <fieldset class="pick">
        <legend>{say("field.bath")}</legend>
        <div class="chips">
          {baths.map(({ log_id, fold }) => (
            <button
              type="button"
              class="chip"
              key={log_id}
              aria-pressed={textIn(form, "bath") === log_id}
              onClick={() => choose(log_id, fold.facts.medium)}
            >
              {fold.name}
            </button>
          ))}
        </div>
      </fieldset>
      <ChipField form={form} name="medium" choices={MEDIA} />
    </>
  );
}

function Rarer({ form }: { form: Form }) {
  return (
    <details>
      <summary class="row-button">{say("new.rarer")}</summary>
      <ChipField form={form} name="soft_tang" choices={["kept_out", "softened_after"]} />
      <ChipField form={form} name="temper_cycles" choices={["1", "2", "3"]} textOf={plain} />
      <YesNo form={form} name="stress_relief" />
      <YesNo form={form} name="double_edge" />
      <YesNo form={form} name="clay" />
      <YesNo form={form} name="notch" />
      <NumberField form={form} name="bolster_mm" />
      <NumberField form={form} name="coupon_thickness_mm" />
    </details>
  );
}

function Facts({ form }: { form: Form }) {
  const steels = steelRows().map(({ designation }) => ({ value: designation, text: designation }));
  const refusal = form.refusal.value;
  const elsewhere = refusal && !OWN.has(refusal.field.split(/[.[]/)[0] ?? "") ? refusal : null;
  return (
    <Sitting
      title={say(changing.value ? "new.change_title" : "new.title")}
      backTo={changing.value ? ["card", changing.value.piece_id] : ["blades"]}
      onBack={() => changing.value && leaveNew(form)}
      foot={
        <>
          <Refused refusal={elsewhere} />
          <ActionButton
            label={say(asking.value ? "new.asking" : "new.ask")}
            disabled={asking.value}
            onPress={() => previewCard(form)}
          />
        </>
      }
    >
      {!changing.value && (
        <div class="pair">
          <TextField form={form} name="tag" />
          <TextField form={form} name="name" />
        </div>
      )}
      <SelectField
        form={form}
        name="steel"
        choices={[...steels, { value: "unknown", text: say("new.unknown_steel") }]}
      />
      <div class="pair">
        <NumberField form={form} name="thickness_mm" />
        <NumberField form={form} name="edge_mm" />
        <NumberField form={form} name="length_mm" />
        <NumberField form={form} name="width_mm" />
      </div>
      <ChipField form={form} name="cycles" choices={["0", "1", "2", "3"]} textOf={plain} />
      <ChipField form={form} name="heat_source" choices={["kiln", "forge_thermocouple", "forge_by_eye"]} />
      <Baths form={form} />
      <ChipField form={form} name="oven_kind" choices={["kiln", "kitchen", "torch_after"]} />
      <div class="pair">
        <NumberField form={form} name="bath_c" />
        <NumberField form={form} name="target_hrc" />
      </div>
      <Rarer form={form} />
    </Sitting>
  );
}

/** A new blade: the facts, then the card they make, then work. */
export function NewBlade() {
  const form = newBladeForm();
  const card = cardPreview.value;
  if (!card) return <Facts form={form} />;
  const change = () => {
    cardPreview.value = null;
  };
  return (
    <Sitting
      title={`${textIn(form, "tag")} · ${textIn(form, "steel")}`}
      backTo={["blades"]}
      foot={
        <>
          <ActionButton label={say(changing.value ? "new.replace" : "new.make")} onPress={() => keepCard(form, card)} />
          <button type="button" class="plain-button" onClick={change}>
            {say("new.change")}
          </button>
        </>
      }
    >
      <CardView card={card} />
    </Sitting>
  );
}
