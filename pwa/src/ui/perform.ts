import { signal } from "@preact/signals";
import { armCalendar, silence, unlockSound } from "../actions/alarms.ts";
import { doAction } from "../actions/marks.ts";
import type { Action, Body, FoldAnswer } from "../engine/types.ts";
import { tell } from "../state/moment.ts";
import { go } from "../state/route.ts";
import { words } from "./say.ts";

/** The defaults that the last pressed check came with, until its screen is left. */
export const checkDefaults = signal<{ readonly check: string; readonly body: Body } | null>(null);

function open(piece_id: string, action: Action): void {
  const screen = action.screen ?? "more";
  if (["card", "log"].includes(screen)) go(screen, piece_id);
  else if (["blades", "catch_up", "settings"].includes(screen)) go(screen.replace("_", "-"));
  else if (screen === "what_now") go("blade", piece_id, "wrong", ...(action.finding ? [action.finding] : []));
  else if (screen === "gate") go("blade", piece_id, "gate", action.gate ?? "");
  else go("blade", piece_id, screen);
}

function check(piece_id: string, action: Action): void {
  checkDefaults.value = { check: action.check ?? "", body: action.body ?? {} };
  go("blade", piece_id, "check", action.check ?? "");
}

/** Carry out what a button stands for: marks are made at once, checks and the rest open their screen. */
export function perform(piece_id: string, action: Action): void {
  void unlockSound();
  if (action.do === "none") return;
  if (action.do === "open") open(piece_id, action);
  else if (action.do === "override") go("blade", piece_id, "override", action.gate ?? "");
  else if (action.do === "check") check(piece_id, action);
  else {
    if (action.mark === "going_to_quench") void silence();
    void doAction(piece_id, action);
    go("blade", piece_id);
  }
}

/** Every action the fold offers now, the first ones first. */
export function actionsOf(fold: FoldAnswer): readonly Action[] {
  const gate_checks = fold.gates.flatMap((gate) => gate.items.flatMap((item) => (item.check ? [item.check] : [])));
  return [...(fold.next ? [fold.next] : []), ...fold.offers, ...gate_checks, ...fold.more];
}

/** Defaults of a check's screen: those it was opened with, else those the fold offers. */
export function defaultsFor(fold: FoldAnswer | null, check: string): Body {
  if (checkDefaults.value?.check === check) return checkDefaults.value.body;
  const offered = fold ? actionsOf(fold).find((action) => action.do === "check" && action.check === check) : undefined;
  return offered?.body ?? {};
}

/** Hand the clock to the phone's calendar; then the clock says who warns of it now. */
export function arm(piece_id: string, clock_id?: string): void {
  void armCalendar(piece_id, clock_id, words).then((done) => {
    if (done.armed) go("blade", piece_id);
    else if (done.note) tell({ id: "calendar", kind: "info", note: done.note });
  });
}
