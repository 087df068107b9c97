import { addNote } from "../../actions/notes.ts";
import { go } from "../../state/route.ts";
import { endForm, formFor, setValue, textIn } from "../flow/form.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say } from "../say.ts";

/** A note in the smith's own words. */
export function NoteScreen({ piece_id }: { piece_id: string }) {
  const form = formFor(`note:${piece_id}`, { text: "" });
  const text = textIn(form, "text").trim();
  const keep = () => {
    void addNote(piece_id, text).then((kept) => {
      if (!kept.kept) return;
      endForm(form);
      go("blade", piece_id);
    });
  };
  const foot = <ActionButton label={say("keep")} disabled={text === ""} onPress={keep} />;
  return (
    <Sitting title={say("note.title")} backTo={["blade", piece_id]} foot={foot}>
      <label class="field">
        <span>{say("note.label")}</span>
        <textarea value={textIn(form, "text")} onInput={(event) => setValue(form, "text", event.currentTarget.value)} />
      </label>
    </Sitting>
  );
}
