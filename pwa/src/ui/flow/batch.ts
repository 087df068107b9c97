import { signal } from "@preact/signals";
import { withdrawTogether } from "../../actions/corrections.ts";
import { makeFinding } from "../../actions/findings.ts";
import { makeMark } from "../../actions/marks.ts";
import type { BatchAnswer, Body, FoldAnswer } from "../../engine/types.ts";
import { blades } from "../../state/blades.ts";
import { nowMs } from "../../state/moment.ts";
import { go, route } from "../../state/route.ts";
import { shop } from "../../state/shop.ts";
import { keptAnswer } from "./kept_answer.ts";

/** Advice by the clock is asked for again after so long. */
const STALE_MS = 10_000;
/** As many as the engine takes; the most urgent come first. */
const MOST = 24;

export const { answer: batchAnswer, read } = keptAnswer<BatchAnswer>("batch");
/** Which one fell is being asked. */
export const dropping = signal(false);

/** Blades of no batch are one among themselves. */
export const batchOf = (fold: FoldAnswer): string => fold.batch ?? "-";

/** The blades between ready to harden and out of the oven, by their batch: what one press loads is never another's. */
function together(): ReadonlyMap<string, readonly FoldAnswer[]> {
  const found = new Map<string, FoldAnswer[]>();
  for (const { fold } of blades.value)
    if (fold?.lot) found.set(batchOf(fold), [...(found.get(batchOf(fold)) ?? []), fold]);
  return found;
}

/** The batches of more than one blade. */
export function batches(): readonly { readonly name: string; readonly n: number }[] {
  return [...together()].map(([name, { length: n }]) => ({ name, n })).filter(({ n }) => n > 1);
}

/** The batch of the address, else that of the blade in most danger. */
export const batchName = (): string => route.value.id ?? [...together().keys()][0] ?? "";

const members = (): readonly FoldAnswer[] => (together().get(batchName()) ?? []).slice(0, MOST);

/** The rows of the blades between ready to harden and out of the oven, as their folds give them. */
export const lots = (): readonly Body[] => members().map(({ lot }) => lot as Body);

/** Ask the engine about the batch whenever a blade or the time has moved. */
export function readBatch(): void {
  const rows = lots();
  const wanted = rows.length > 0 ? JSON.stringify([rows, Math.floor(nowMs.value / STALE_MS)]) : null;
  read(wanted, () => ({ blades: rows, now_ms: nowMs.peek() }));
}

/** One mark for every blade that goes into the oven now. */
export function loadOven(ids: readonly string[]): void {
  const [first, ...also] = ids;
  if (first) void makeMark(first, "in_oven", { body: { purpose: "temper" }, also });
}

const inOven = () => members().filter(({ lot }) => lot?.state === "temper_in_heat");

/** Whether something of the batch was put into the oven by this phone, and lately. */
export function canTakeOut(): boolean {
  const own = shop.value.device_id;
  return inOven().some(({ undo }) => undo && undo.until_ms > nowMs.value && (undo.device_id ?? own) === own);
}

/** What was last put into the oven together comes out together. */
export function takeOut(): void {
  if (canTakeOut())
    void withdrawTogether(
      inOven().map(({ log_id }) => log_id),
      "in_oven",
    );
}

/** A tile opens its blade; after "one fell" it says which. */
export function pressTile(piece_id: string): void {
  const fell = dropping.value ? ["wrong", "dropped_hard"] : [];
  if (dropping.value) void makeFinding(piece_id, "dropped_hard");
  dropping.value = false;
  go("blade", piece_id, ...fell);
}
