import { keepPaper, openBoxes, paperForm } from "../flow/paper.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { TextField } from "../parts/Fields.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say, words } from "../say.ts";

/** What stands on the paper card, typed box by box: four figures for a clock time, then the next. */
export function PaperTimes({ piece_id }: { piece_id: string }) {
  const form = paperForm(piece_id);
  const boxes = openBoxes();
  const foot = <ActionButton label={say("paper.keep")} onPress={() => keepPaper(piece_id, form, boxes)} />;
  return (
    <Sitting title={say("paper.title")} backTo={["card", piece_id]} foot={foot}>
      <TextField form={form} name="day" type="date" />
      <div class="pair">
        {boxes.map(({ id, title, place }) => (
          <TextField key={id} form={form} name={id} label={`${words(title)}: ${words(place)}`} pad />
        ))}
      </div>
    </Sitting>
  );
}
