import { openBlade } from "../../state/blades.ts";
import { CardView } from "../parts/CardView.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say } from "../say.ts";

/** The frozen plan of one blade. */
export function CardScreen({ piece_id }: { piece_id: string }) {
  const blade = openBlade.value;
  const card = blade?.card?.card;
  return (
    <Sitting title={`${blade?.tag ?? ""} · ${say("card.title")}`} backTo={["blade", piece_id]}>
      {card ? <CardView card={card} /> : <p>{say("card.none")}</p>}
    </Sitting>
  );
}
