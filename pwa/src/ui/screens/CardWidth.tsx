import { useSignal } from "@preact/signals";
import { setDevice } from "../../actions/person.ts";
import { deviceSettings } from "../../state/person.ts";
import { go } from "../../state/route.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say } from "../say.ts";

/** The short side of a bank card, ISO/IEC 7810 ID-1. */
const CARD_MM = 53.98;
/** Where the outline begins: 390 CSS pixels on 65 mm of glass, a common phone. */
const FIRST_PX_PER_MM = 6;
/** A half percent of the card: finer than the eye along its edge. */
const STEP_PX = 2;
const LEAST_PX = 120;
const MOST_PX = 600;

/** Once for this phone: an outline as wide as a bank card, so that digits can be sized in millimetres of glass. */
export function CardWidth() {
  const wide_px = useSignal(Math.round((deviceSettings.value.px_per_mm ?? FIRST_PX_PER_MM) * CARD_MM));
  const by = (step_px: number) => () => {
    wide_px.value = Math.min(MOST_PX, Math.max(LEAST_PX, wide_px.value + step_px));
  };
  const keep = () => {
    void setDevice({ px_per_mm: wide_px.value / CARD_MM });
    go("settings");
  };
  return (
    <Sitting
      title={say("card_width.title")}
      backTo={["settings"]}
      foot={<ActionButton label={say("card_width.fits")} onPress={keep} />}
    >
      <p>{say("card_width.how")}</p>
      <div class="bank-card" style={{ width: `${wide_px.value}px` }} />
      <div class="answers side">
        <button type="button" class="answer" onClick={by(-STEP_PX)}>
          {say("card_width.narrower")}
        </button>
        <button type="button" class="answer" onClick={by(STEP_PX)}>
          {say("card_width.wider")}
        </button>
      </div>
    </Sitting>
  );
}
