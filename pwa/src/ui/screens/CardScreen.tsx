import { openBlade } from "../../state/blades.ts";
import { changePlan } from "../flow/new_blade.ts";
import { CardView } from "../parts/CardView.tsx";
import { LogPictures } from "../parts/Pictures.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say } from "../say.ts";

/** The frozen plan of one blade, and the plans that it replaced. */
export function CardScreen({ piece_id }: { piece_id: string }) {
  const blade = openBlade.value;
  const card = blade?.card?.card;
  const foot = blade && card && (
    <>
      <button type="button" class="plain-button" onClick={() => print()}>
        {say("card.print")}
      </button>
      <button type="button" class="plain-button" onClick={() => changePlan(blade)}>
        {say("card.change")}
      </button>
    </>
  );
  return (
    <Sitting title={`${blade?.tag ?? ""} · ${say("card.title")}`} backTo={["blade", piece_id]} foot={foot}>
      {card ? <CardView card={card} /> : <p>{say("card.none")}</p>}
      <LogPictures part="tempers" title={say("card.tempers")} />
      {blade?.earlier_cards.map(({ entry_id, card: earlier }) => (
        <details key={entry_id}>
          <summary class="row-button">{say("card.earlier")}</summary>
          <CardView card={earlier} />
        </details>
      ))}
    </Sitting>
  );
}
