import { closeFinding, makeFinding } from "../../actions/findings.ts";
import { makeChoice } from "../../actions/overrides.ts";
import { startPeople } from "../../actions/people.ts";
import type { Body, FindingCard, FoldAnswer } from "../../engine/types.ts";
import { go } from "../../state/route.ts";
import { findingCards, readFindingCards } from "../flow/finding_cards.ts";
import { endForm, formFor, setValue, textIn } from "../flow/form.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { Asked } from "../parts/Asked.tsx";
import { Shape } from "../parts/Shape.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say, words } from "../say.ts";

interface Props {
  readonly piece_id: string | null;
  readonly fold: FoldAnswer | null;
}

/** Findings of the state the blade is in come first. */
function sorted(cards: readonly FindingCard[], state: string | undefined): readonly FindingCard[] {
  const here = cards.filter((card) => state !== undefined && card.where.includes(state));
  return [...here, ...cards.filter((card) => !here.includes(card))];
}

function openCard(piece_id: string | null, card: FindingCard): void {
  if (piece_id) go("blade", piece_id, "wrong", card.id);
  else go("what-now", card.id);
}

/** Something went wrong: what was it? */
export function WhatNow({ piece_id, fold }: Props) {
  readFindingCards();
  const backTo: [string, ...string[]] = piece_id ? ["blade", piece_id] : ["blades"];
  const open = new Set(fold?.findings.filter((finding) => finding.open).map((finding) => finding.id));
  return (
    <Sitting title={say("what_now.title")} backTo={backTo}>
      <ul class="rows">
        {sorted(findingCards.value, fold?.state.id).map((card) => (
          <li key={card.id}>
            <button type="button" class="row-button" onClick={() => openCard(piece_id, card)}>
              {open.has(card.id) && <Shape shape="octagon" />}
              <span>
                {words(card.title)}
                {open.has(card.id) && <small>{say("what_now.open")}</small>}
              </span>
            </button>
          </li>
        ))}
      </ul>
    </Sitting>
  );
}

function keepFinding(piece_id: string, card: FindingCard, text: string): void {
  if (card.people) void startPeople(card.people);
  else void makeFinding(piece_id, card.id, text ? { text } : undefined);
  go("blade", piece_id);
}

function CardFoot({ piece_id, fold, card }: { piece_id: string; fold: FoldAnswer | null; card: FindingCard }) {
  const form = formFor(`finding:${piece_id}:${card.id}`, { text: "" });
  const open = fold?.findings.find((finding) => finding.id === card.id && finding.open);
  const text = textIn(form, "text").trim();
  const done = () => {
    endForm(form);
    if (!open) return keepFinding(piece_id, card, text);
    if (open.entry_id) void closeFinding(piece_id, open.entry_id, text || undefined);
    else void makeChoice(piece_id, "cause_tried", text);
    go("blade", piece_id);
  };
  return (
    <>
      <label class="field">
        <span>{say(open ? "what_now.what_done" : "what_now.cause")}</span>
        <input value={textIn(form, "text")} onInput={(event) => setValue(form, "text", event.currentTarget.value)} />
      </label>
      <ActionButton
        label={say(open ? "what_now.dealt" : "what_now.note_it")}
        kind={open ? "go" : "wait"}
        onPress={done}
      />
    </>
  );
}

/** Do now, do not, then: the same three places for every finding. */
export function FindingScreen({ piece_id, fold, finding }: Props & { finding: string }) {
  readFindingCards();
  const card = findingCards.value.find(({ id }) => id === finding);
  if (!card) return null;
  const temper = fold?.facts.temper as Body | null | undefined;
  const backTo: [string, ...string[]] = piece_id ? ["blade", piece_id, "wrong"] : ["what-now"];
  const foot = piece_id ? <CardFoot piece_id={piece_id} fold={fold} card={card} /> : undefined;
  return (
    <Sitting title={words(card.title)} backTo={backTo} foot={foot}>
      <article class="now-card">
        <h2 class="label">
          <Shape shape="circle" />
          {say("what_now.do_now")}
        </h2>
        <p class="do-now">{words(card.do_now)}</p>
        <h2 class="label">
          <Shape shape="octagon" />
          {say("what_now.do_not")}
        </h2>
        <p>{words(card.do_not)}</p>
        <h2 class="label">
          <Shape shape="triangle" />
          {say("what_now.then")}
        </h2>
        <p>{words(card.then)}</p>
        {card.asks && temper && <Asked key={finding} asks={card.asks} facts={temper} />}
      </article>
    </Sitting>
  );
}
