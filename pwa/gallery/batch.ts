import type { BatchAnswer } from "../src/engine/types.ts";
import { batchAnswer } from "../src/ui/flow/batch.ts";
import { blades } from "../src/state/blades.ts";
import { clock, fold, NOW_MS, note } from "./folds.ts";

const tile = (name: string, text: string, minutes: number | null): BatchAnswer["tiles"][number] => ({
  log_id: name,
  name,
  shape: "octagon",
  text: note(text),
  from_ms: minutes === null ? null : NOW_MS - minutes * 60_000 - 17_000,
});

/** As the engine answers for six knives of 173.5 g at 845 degC in 12 L from 50 degC. */
const BATHS = [{"name": "Short oil", "read_c": 50.0, "read_ms": 1.0, "now_c": 50.0, "low_c": 35.0, "high_c": 65.0, "left": 3, "steps": [{"log_id": "A", "name": "A", "quenched_ms": null, "before_c": 50.0, "after_c": 54.96017028457084, "verdict": "go"}, {"log_id": "B", "name": "B", "quenched_ms": null, "before_c": 54.96017028457084, "after_c": 59.88939303549145, "verdict": "go"}, {"log_id": "C", "name": "C", "quenched_ms": null, "before_c": 59.88939303549145, "after_c": 64.78786134085841, "verdict": "go"}, {"log_id": "D", "name": "D", "quenched_ms": null, "before_c": 64.78786134085841, "after_c": 69.65576708405155, "verdict": "hot"}, {"log_id": "E", "name": "E", "quenched_ms": null, "before_c": 69.65576708405155, "after_c": 74.49330095125038, "verdict": "hot"}, {"log_id": "F", "name": "F", "quenched_ms": null, "before_c": 74.49330095125038, "after_c": 79.30065243890368, "verdict": "hot"}], "sources": ["oneToOneRule", "oilDensity"], "picture": {"id": "bath Short oil", "title": {"key": "batch.picture.bath", "facts": {"name": "Short oil"}}, "notes": [{"key": "batch.picture.no_cooling", "facts": {}}], "sources": ["oneToOneRule", "oilDensity"], "lines": [{"kind": "main", "points": [[0.0, 0.125], [0.16666666666666666, 0.24900425711427107], [0.3333333333333333, 0.3722348258872863], [0.5, 0.4946965335214603], [0.6666666666666666, 0.6163941771012886], [0.8333333333333334, 0.7373325237812594], [1.0, 0.8575163109725921]], "label": null, "at": [0.0, 0.0]}, {"kind": "mark", "points": [[0.0, 0.5], [1.0, 0.5]], "label": {"key": "batch.picture.limit", "facts": {"high_c": 65.0}}, "at": [0.25, 0.52]}], "x": [[0.16666666666666666, 1], [0.3333333333333333, 2], [0.5, 3], [0.6666666666666666, 4], [0.8333333333333334, 5], [1.0, 6]], "x_unit": "", "y": [[0.0, 45.0], [0.25, 55.0], [0.5, 65.0], [0.75, 75.0]], "y_unit": "degC"}}];

/** More than stand on the glass: the title counts them all. The others are the engine's own. */
const EIGHT: BatchAnswer = {
  shape: "octagon",
  word: note("BRITTLE"),
  sentence: note("Still time: D into the bath."),
  number: { kind: "elapsed", from_ms: NOW_MS - 14 * 60_000 - 17_000, caption: note("A hard longest · alarm 23:02"), whose: "A" },
  order: [],
  tiles: [
    tile("A", "hard", 14), tile("B", "hard", 10), tile("C", "hard", 6), tile("D", "to 70 °C", null),
    tile("QF-105-5", "to 74 °C", null), tile("F", "to 79 °C", null), tile("G", "to 84 °C", null), tile("H", "to 89 °C", null),
  ],
  next: { label: note("Next: D"), open: "D", load: [] },
  baths: BATHS as unknown as BatchAnswer["baths"],
  oven: {
    advice: note("At 22:53 9 min to spare, no second try. Snap-temper A or load twice."),
    load_ms: NOW_MS,
    slack_s: 540,
  },
};

/** The batch as this answer has it; its first blade's clock runs. */
export function showBatch(answer: BatchAnswer): void {
  const [first] = answer.tiles;
  const clocks = first?.from_ms === null ? [] : [clock("brittle", 14, 46)];
  blades.value = [{ piece_id: first?.log_id ?? "", tag: "A", fold: fold({ lot: {}, clocks }), only_here: 0 }];
  batchAnswer.value = answer;
}

export const showEight = () => showBatch(EIGHT);
