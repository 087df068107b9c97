import { openBlade } from "../../state/blades.ts";
import { go } from "../../state/route.ts";
import { cardOffer } from "../flow/log_pictures.ts";
import { changePlan } from "../flow/new_blade.ts";
import { CardView } from "../parts/CardView.tsx";
import { LogPictures, Pictures } from "../parts/Pictures.tsx";
import { Refused, Sitting } from "../parts/Sitting.tsx";
import { say, words } from "../say.ts";
import { ActionRow } from "./More.tsx";

/** The frozen plan of one blade, what a newer engine would change in it, and the plans that it replaced. */
export function CardScreen({ piece_id }: { piece_id: string }) {
  const blade = openBlade.value;
  const card = blade?.card?.card;
  const offer = cardOffer();
  const foot = blade && card && (
    <>
      <button type="button" class="plain-button" onClick={() => go("blade", piece_id, "paper")}>
        {say("paper.title")}
      </button>
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
      {offer?.text && (
        <details>
          <summary class="row-button">{words(offer.text)}</summary>
          <Refused refusal={offer.refusal} />
          <Pictures of={offer} />
          <ul class="rows">
            {offer.actions.map((action) => (
              <ActionRow key={action.do} piece_id={piece_id} action={action} />
            ))}
          </ul>
        </details>
      )}
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
