// @vitest-environment node
import { beforeEach, describe, expect, it, vi } from "vitest";
import { blades, openBlade } from "../state/blades.ts";
import { notices, nowMs } from "../state/moment.ts";
import { things } from "../state/shop.ts";
import { readFold } from "../store/folds.ts";
import { type FreshApp, freshApp } from "../testing/fresh_app.ts";
import { faultsToCome } from "../testing/in_process_worker.ts";
import { EngineRefusal } from "./ask.ts";
import { countPerBlade, foldWhatTimeChanged, openPiece, readStored, refreshAll, showStored } from "./blades.ts";
import { folded } from "./folding.ts";
import type { Kept } from "./keep.ts";
import { makeMark } from "./marks.ts";
import { askCard, newPiece } from "./pieces.ts";
import { newThing } from "./things.ts";

let world: FreshApp;
beforeEach(() => {
  world = freshApp();
  things.value = [];
});

const CARD_FACTS = {
  steel: "1084",
  thickness_mm: 4.2,
  length_mm: 210,
  heat_source: "kiln",
  quench: [{ medium: "fast_oil", bath_c: 50 }],
  oven_kind: "kiln",
  target_hrc: 60,
};

function idOf(kept: Kept): string {
  if (!kept.kept) throw new Error(`not kept: ${kept.note.key}`);
  return kept.log_id;
}

async function openNewBlade(): Promise<string> {
  const card = await askCard(CARD_FACTS);
  const piece_id = idOf(await newPiece({ tag: "QF-102" }, card));
  await openPiece(piece_id);
  await folded();
  return piece_id;
}

describe("a kept mark", () => {
  it("is shown at once, and then what the engine makes of it", async () => {
    const piece_id = await openNewBlade();
    const before = openBlade.value?.fold?.state.id;
    await makeMark(piece_id, "shaped");
    expect(openBlade.value?.entries.at(-1)?.body).toEqual({ mark: "shaped" });
    expect(openBlade.value?.folding).toBe(true);
    expect(openBlade.value?.fold?.state.id).toBe(before);
    await folded();
    expect(openBlade.value).toMatchObject({
      folding: false,
      tag: "QF-102",
      fold: { state: { id: "shaped" }, count: 3 },
    });
    expect(blades.value.map((row) => row.fold?.state.id)).toEqual(["shaped"]);
  });

  it("after another one, quickly, folds to the later of the two", async () => {
    const piece_id = await openNewBlade();
    await Promise.all([makeMark(piece_id, "shaped"), makeMark(piece_id, "ground_ready")]);
    await folded();
    expect(openBlade.value?.fold).toMatchObject({ count: 4, state: { id: "ground_ready" } });
    expect((await readFold(world.store, piece_id))?.count).toBe(4);
  });

  it("is never stored as an answer to entries that it has not seen", async () => {
    const piece_id = await openNewBlade();
    const write = world.store.write.bind(world.store);
    const stored: (readonly [number | undefined, number | undefined])[] = [];
    vi.spyOn(world.store, "write").mockImplementation(async (names, ...given) => {
      const done = await write(names, ...given);
      if (names[0] !== "folds") return done;
      const row = await readFold(world.store, piece_id);
      stored.push([row?.count, (row?.answer as { count?: number } | undefined)?.count]);
      return done;
    });
    await Promise.all([makeMark(piece_id, "shaped"), makeMark(piece_id, "ground_ready")]);
    await folded();
    expect(stored).toEqual([
      [3, 3],
      [4, 4],
    ]);
  });

  it("stays on the screen when a count that was under way comes back", async () => {
    const piece_id = await openNewBlade();
    const read = world.store.read.bind(world.store);
    let let_go: () => void = () => undefined;
    const held = new Promise<void>((done) => {
      let_go = done;
    });
    let reads = 0;
    vi.spyOn(world.store, "read").mockImplementation(async (...given) => {
      reads += 1;
      if (reads === 2) await held; // the second look of the count, with the blade as it was
      return read(...given);
    });
    const counting = countPerBlade();
    await vi.waitFor(() => expect(reads).toBe(2));
    await makeMark(piece_id, "shaped");
    await folded();
    let_go();
    await counting;
    expect(openBlade.value?.fold?.state.id).toBe("shaped");
  });

  it("leaves a stored answer that a restart shows before the engine is asked", async () => {
    const piece_id = await openNewBlade();
    await makeMark(piece_id, "shaped");
    await folded();
    blades.value = [];
    showStored(await readStored());
    expect(blades.value).toMatchObject([{ piece_id, tag: "QF-102", only_here: 3, fold: { state: { id: "shaped" } } }]);
  });
});

describe("the stored answers", () => {
  it("of another engine's version are folded again behind the list", async () => {
    const piece_id = await openNewBlade();
    world.app.engine_version = "a newer one";
    await refreshAll();
    expect((await readFold(world.store, piece_id))?.engine_version).toBe("a newer one");
  });

  it("come from a second try where the engine broke on the way", async () => {
    const piece_id = await openNewBlade();
    openBlade.value = null;
    faultsToCome.push("foldPacked");
    await makeMark(piece_id, "shaped");
    await folded();
    expect(faultsToCome).toEqual([]);
    expect(await readFold(world.store, piece_id)).toMatchObject({ count: 3, answer: { state: { id: "shaped" } } });
    expect(notices.value).toEqual([]);
  });

  it("are folded again when time alone has changed them", async () => {
    const piece_id = await openNewBlade();
    for (const mark of ["shaped", "ground_ready", "in_fire", "out_of_fire"]) await makeMark(piece_id, mark);
    await folded();
    const [first_ms] = openBlade.value?.fold?.changes_at_ms ?? [];
    if (first_ms === undefined) throw new Error("a cooling blade whose answer time never changes");
    const before = openBlade.value?.fold;
    world.clock.now_ms = first_ms + 1;
    nowMs.value = world.clock.now_ms;
    foldWhatTimeChanged();
    await vi.waitFor(() => expect(openBlade.value?.fold).not.toEqual(before));
    expect(openBlade.value?.fold?.changes_at_ms.every((at_ms) => at_ms > first_ms)).toBe(true);
  });
});

describe("a stranger of another kind that stands first under a blade's id", () => {
  it("hides neither the blade nor its clock", async () => {
    const piece_id = await openNewBlade();
    await makeMark(piece_id, "shaped");
    await folded();
    const [first] = openBlade.value?.entries ?? [];
    if (!first) throw new Error("a blade without an entry");
    const stranger = { ...first, id: first.id.replace(/^.{8}/, "00000000"), log_kind: "bath", lamport: 0 } as const;
    await world.store.write(["entries"], (tx) => tx.objectStore("entries").put(stranger));
    openBlade.value = null;
    blades.value = [];
    await refreshAll();
    expect(blades.value).toMatchObject([{ piece_id, tag: "QF-102", fold: { state: { id: "shaped" } } }]);
    await openPiece(piece_id);
    expect((openBlade.value as { piece_id?: string } | null)?.piece_id).toBe(piece_id);
  });
});

describe("the things of the shop", () => {
  it("are folded beside the blades", async () => {
    const log_id = idOf(await newThing("bath", { name: "oil tank", litres: 20 }));
    await folded();
    expect(things.value).toMatchObject([{ log_kind: "bath", log_id, fold: { name: "oil tank" } }]);
  });
});

describe("the engine's refusal of a card", () => {
  it("names the field", async () => {
    const refusal = await askCard({ ...CARD_FACTS, thickness_mm: 900 }).catch((error: unknown) => error);
    expect(refusal).toBeInstanceOf(EngineRefusal);
    expect((refusal as EngineRefusal).refusal.field).toBe("thickness_mm");
  });
});
