import type { FoldAnswer } from "../../engine/types.ts";
import { go } from "../../state/route.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { BowPicture } from "../parts/BowPicture.tsx";
import { LogPictures } from "../parts/Pictures.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say, words } from "../say.ts";
import { PhotoPick } from "./More.tsx";

/** The bow as a picture and as numbers, and how it went from heat to heat. */
export function Straightness({ piece_id, fold }: { piece_id: string; fold: FoldAnswer }) {
  const last = fold.bows.at(-1);
  const foot = <ActionButton label={say("bow.take")} onPress={() => go("blade", piece_id, "check", "straightness")} />;
  return (
    <Sitting title={`${fold.tag} · ${say("bow.title")}`} backTo={["blade", piece_id]} foot={foot}>
      {last ? <BowPicture reading={last} /> : <p>{say("bow.none")}</p>}
      {last && (
        <ul class="rows">
          <li>
            <PhotoPick piece_id={piece_id} fold={fold} bow={last} />
          </li>
        </ul>
      )}
      <LogPictures part="bows" />
      {fold.flags
        .filter(({ id }) => id === "trend")
        .map((flag) => (
          <p key={flag.id}>
            <b>{words(flag.text)}</b>
          </p>
        ))}
    </Sitting>
  );
}
