import type { BatchAnswer } from "../src/engine/types.ts";
import { batchAnswer } from "../src/ui/flow/batch.ts";
import { blades } from "../src/state/blades.ts";
import { fold, NOW_MS, note } from "./folds.ts";

const min = (minutes: number) => NOW_MS - minutes * 60_000 - 17_000;

const hard = (name: string, minutes: number): BatchAnswer["tiles"][number] => ({
  log_id: name,
  name,
  shape: "octagon",
  text: note("hard"),
  from_ms: min(minutes),
});
const waits = (name: string, text: string, hot = false): BatchAnswer["tiles"][number] => ({
  log_id: name,
  name,
  shape: hot ? "octagon" : "circle",
  text: note(text),
  from_ms: null,
});

const HARD: BatchAnswer = {
  shape: "octagon",
  word: note("BRITTLE"),
  sentence: note("D is next into the bath."),
  number: { kind: "elapsed", from_ms: min(14), caption: note("A hard longest · alarm 23:02") },
  order: [],
  tiles: [hard("A", 14), hard("B", 10), hard("C", 6), waits("D", "64.8 °C", true), waits("QF-105-5", "69.7 °C", true), waits("F", "74.5 °C", true)],
  next: { label: note("Next: D"), open: "D", load: [] },
  baths: [],
  oven: {
    advice: note("Loaded at 22:53: 9 min to spare; a second try makes it 69 min. Snap-temper A or load twice."),
    load_ms: NOW_MS,
    slack_s: 540,
  },
};

/** As the engine answers for six knives of 173.5 g at 845 degC in 12 L from 50 degC. */
const BATHS = [{"name": "Short oil", "read_c": 50.0, "read_ms": 1.0, "now_c": 50.0, "low_c": 35.0, "high_c": 65.0, "left": 3, "steps": [{"log_id": "A", "name": "A", "quenched_ms": null, "before_c": 50.0, "after_c": 54.96017028457084, "verdict": "go"}, {"log_id": "B", "name": "B", "quenched_ms": null, "before_c": 54.96017028457084, "after_c": 59.88939303549145, "verdict": "go"}, {"log_id": "C", "name": "C", "quenched_ms": null, "before_c": 59.88939303549145, "after_c": 64.78786134085841, "verdict": "go"}, {"log_id": "D", "name": "D", "quenched_ms": null, "before_c": 64.78786134085841, "after_c": 69.65576708405155, "verdict": "hot"}, {"log_id": "E", "name": "E", "quenched_ms": null, "before_c": 69.65576708405155, "after_c": 74.49330095125038, "verdict": "hot"}, {"log_id": "F", "name": "F", "quenched_ms": null, "before_c": 74.49330095125038, "after_c": 79.30065243890368, "verdict": "hot"}], "sources": ["oneToOneRule", "oilDensity"], "picture": {"id": "bath Short oil", "title": {"key": "batch.picture.bath", "facts": {"name": "Short oil"}}, "notes": [{"key": "batch.picture.no_cooling", "facts": {}}], "sources": ["oneToOneRule", "oilDensity"], "lines": [{"kind": "main", "points": [[0.0, 0.125], [0.16666666666666666, 0.24900425711427107], [0.3333333333333333, 0.3722348258872863], [0.5, 0.4946965335214603], [0.6666666666666666, 0.6163941771012886], [0.8333333333333334, 0.7373325237812594], [1.0, 0.8575163109725921]], "label": null, "at": [0.0, 0.0]}, {"kind": "mark", "points": [[0.0, 0.5], [1.0, 0.5]], "label": {"key": "batch.picture.limit", "facts": {"high_c": 65.0}}, "at": [0.25, 0.52]}], "x": [[0.16666666666666666, 1], [0.3333333333333333, 2], [0.5, 3], [0.6666666666666666, 4], [0.8333333333333334, 5], [1.0, 6]], "x_unit": "", "y": [[0.0, 45.0], [0.25, 55.0], [0.5, 65.0], [0.75, 75.0]], "y_unit": "degC"}}];

/** More than stand on the glass: the title counts them all. */
const EIGHT: BatchAnswer = {
  ...HARD,
  tiles: [...HARD.tiles, waits("G", "79.3 °C", true), waits("H", "84 °C", true)],
};

const WAITING: BatchAnswer = {
  ...HARD,
  shape: "circle",
  word: note("GO"),
  sentence: note("A is next into the bath."),
  number: { kind: "temperature", value: 50, unit: "degC", caption: note("Short oil · room for 3 more") },
  tiles: [waits("A", "50 °C"), waits("B", "55 °C"), waits("C", "59.9 °C"), waits("D", "64.8 °C", true)],
  next: { label: note("Next: A"), open: "A", load: [] },
  baths: BATHS as unknown as BatchAnswer["baths"],
  oven: null,
};

const HOT: BatchAnswer = {
  ...WAITING,
  shape: "octagon",
  word: note("TOO HOT"),
  sentence: note("Wait: next goes over 65 °C."),
  number: { kind: "temperature", value: 64.8, unit: "degC", caption: note("Short oil · room for 0 more") },
  next: { label: note("Read the bath again"), open: "A", load: [] },
};

const show = (answer: BatchAnswer) => () => {
  blades.value = [{ piece_id: "A", tag: "A", fold: fold({ lot: {} }), only_here: 0 }];
  batchAnswer.value = answer;
};

export const BATCHES: Readonly<Record<string, () => void>> = {
  "batch-hard": show(HARD),
  "batch-eight": show(EIGHT),
  "batch-waiting": show(WAITING),
  "batch-hot": show(HOT),
};
