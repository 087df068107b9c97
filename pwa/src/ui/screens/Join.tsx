import { shop } from "../../state/shop.ts";
import { claim, join, joinForm, joining } from "../flow/people_forms.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { TextField } from "../parts/Fields.tsx";
import { Shape } from "../parts/Shape.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say, words } from "../say.ts";

/** Join a shop with a code; the code may be typed, and may come with the address. */
export function Join({ code }: { code: string }) {
  const form = joinForm(code);
  const state = joining.value;
  const foot = (
    <ActionButton
      label={say(state === "asking" ? "join.asking" : "join.go")}
      disabled={state === "asking"}
      onPress={() => join(form)}
    />
  );
  return (
    <Sitting title={say("join.title")} backTo={["settings"]} foot={foot}>
      <p>{say(shop.value.joined ? "join.another" : "join.what")}</p>
      <TextField form={form} name="code" />
      <TextField form={form} name="device_name" />
      {typeof state === "object" && (
        <p class="refused" role="alert">
          <Shape shape="octagon" />
          <span>{words(state)}</span>
        </p>
      )}
      <details>
        <summary class="row-button">{say("join.claim")}</summary>
        <p class="soft note-text">{say("join.claim_hint")}</p>
        <TextField form={form} name="shop_name" />
        <div class="answers">
          <button type="button" class="plain-button" onClick={() => claim(form)}>
            {say("join.claim_go")}
          </button>
        </div>
      </details>
    </Sitting>
  );
}
