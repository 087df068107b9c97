import { cleanup, fireEvent, render, screen, waitFor } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it } from "vitest";
import type { Action, FoldAnswer, Gate } from "../../engine/types.ts";
import { alarms } from "../../state/alarms.ts";
import { blades } from "../../state/blades.ts";
import { nowMs, people } from "../../state/moment.ts";
import { deviceSettings, NOBODY as NO_PERSON, person } from "../../state/person.ts";
import { route, routeFrom } from "../../state/route.ts";
import { brittleClock, foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { batchAnswer } from "../flow/batch.ts";
import { say, words } from "../say.ts";
import { Batch } from "../screens/Batch.tsx";
import { CheckScreen } from "../screens/CheckScreen.tsx";
import { GateScreen } from "../screens/GateScreen.tsx";
import { People } from "../screens/People.tsx";
import { Quench } from "../screens/Quench.tsx";
import { Step } from "../screens/Step.tsx";
import { Straighten } from "../screens/Straighten.tsx";
import { WhatNow } from "../screens/WhatNow.tsx";

const note = (text: string) => ({ key: `say:${text}` });
const offer = (label: string): Action => ({ do: "mark", mark: label, label: note(label), hold: false, kind: "plain" });
const GATE: Gate = { id: "ready_to_harden", open: false, items: [] };
const buttons = () => screen.getAllByRole("button").map((one) => one.getAttribute("aria-label") ?? one.textContent);
const here = () => routeFrom(location.hash);
const NOBODY = () => screen.queryByText(say("warns.nobody"));

beforeEach(() => {
  freshApp();
  alarms.value = { ...alarms.peek(), visible: true, sound_unlocked: false, push: "off", calendar: {}, ringing: null };
  deviceSettings.value = { ...deviceSettings.peek(), grinding_on: false, cautions_read: {} };
  person.value = NO_PERSON;
  route.value = routeFrom("#/blade/p");
});

afterEach(() => {
  cleanup();
  batchAnswer.value = null;
});

it("keeps the way to What now? at a stop point with two offers", () => {
  const fold = foldAnswer({ screen: "gate", gates: [GATE], offers: [offer("Snap temper"), offer("Go anyway")] });
  render(<GateScreen piece_id="p" fold={fold} gate={GATE} />);
  fireEvent.click(screen.getByText(say("went_wrong")));
  expect(here()).toMatchObject({ name: "blade", id: "p", rest: ["wrong"] });
  expect(buttons()).toContain("Snap temper");
  expect(buttons()).toContain(say("undo"));
});

it.each([
  ["#/blade/p/check/magnet", ["blade", "p", "wrong"]],
  ["#/log/p", ["blade", "p", "wrong"]],
  ["#/settings", ["what-now", null]],
  ["#/what-now/crack_seen", ["what-now", null]],
])("has What now? one press away on %s", (hash, [name, id, ...rest]) => {
  route.value = routeFrom(hash as string);
  render(
    hash?.includes("check") ? (
      <CheckScreen piece_id="p" check="magnet" entry_id={undefined} />
    ) : (
      <WhatNow piece_id={null} fold={null} />
    ),
  );
  fireEvent.click(screen.getByLabelText(say("what_now.title")));
  expect(here()).toMatchObject({ name, id, rest });
});

const going: Partial<FoldAnswer> = {
  screen: "quench",
  state: { id: "hardening_heat", cycle: null, temper: null, since_ms: 0 },
};

it("has one strip on the way to the bath, and it is no mark; the way back comes when the engine offers it", () => {
  const { rerender } = render(<Quench piece_id="p" fold={foldAnswer(going)} />);
  const [field] = document.getElementsByClassName("field");
  expect(screen.getAllByRole("button").filter((one) => one !== field)).toEqual([screen.getByText(say("people.fire"))]);
  rerender(<Quench piece_id="p" fold={foldAnswer({ ...going, offers: [offer("give up")] })} />);
  fireEvent.click(screen.getByLabelText(`QF-103, ${say("more")}`));
  expect(here()).toMatchObject({ rest: ["more"] });
  fireEvent.click(screen.getByText(say("people.fire")));
  expect(people.value?.kind).toBe("fire");
});

it.each([
  ["the step", (fold: FoldAnswer) => <Step piece_id="p" fold={fold} />],
  ["a stop point", (fold: FoldAnswer) => <GateScreen piece_id="p" fold={fold} gate={GATE} />],
  ["the window", (fold: FoldAnswer) => <Straighten piece_id="p" fold={fold} />],
])("says on %s that nobody warns, and who does once somebody does", (_, shown) => {
  const { rerender } = render(shown(foldAnswer({ clocks: [] })));
  expect(NOBODY()).toBeNull();
  const fold = foldAnswer({ clocks: [brittleClock()] });
  rerender(shown(fold));
  expect(NOBODY()?.querySelector("svg")).not.toBeNull();
  alarms.value = { ...alarms.peek(), sound_unlocked: true, wake_lock: "held" };
  rerender(shown({ ...fold }));
  expect(screen.getByText(say("warns.line", { who: say("warns.screen") }))).toBeTruthy();
  deviceSettings.value = { ...deviceSettings.peek(), grinding_on: true };
  rerender(shown({ ...fold }));
  expect(screen.getByText(say("warns.line", { who: say("warns.light") }))).toBeTruthy();
});

const tile = (name: string) => ({ log_id: name, name, shape: "octagon" as const, text: note(""), from_ms: 0 });

function showBatch(names: readonly string[]): void {
  route.value = routeFrom("#/batch");
  blades.value = names.map((name) => {
    const fold = foldAnswer({ log_id: name, lot: { log_id: name }, clocks: [brittleClock()] });
    return { piece_id: name, tag: name, fold, only_here: 0 };
  });
  const { word, sentence, number, shape } = foldAnswer();
  const next = { label: note("next"), open: "A", load: [] };
  batchAnswer.value = {
    word,
    sentence,
    number,
    shape,
    next,
    order: names,
    tiles: names.map(tile),
    oven: null,
    baths: [],
  };
  render(<Batch />);
}

it("says on the batch that nobody warns of the blade that is hard longest", () => {
  showBatch(["A", "B"]);
  expect(NOBODY()).not.toBeNull();
});

it("says whose clock it is, and has What now? one press away, without a blade", () => {
  showBatch(["A", "B"]);
  const clock = { kind: "elapsed" as const, from_ms: nowMs.value, caption: note("hard longest"), whose: "A" };
  if (batchAnswer.value) batchAnswer.value = { ...batchAnswer.value, number: clock };
  cleanup();
  render(<Batch />);
  expect(screen.getByRole("timer").textContent).toBe("A0:00");
  fireEvent.click(screen.getByLabelText(say("what_now.title")));
  expect(here()).toMatchObject({ name: "what-now", id: null });
});

const DAY_MS = 86_400_000;
const LINE = "black is not cold";
const cooling = foldAnswer({ hazards: ["HOT"], hazard_line: note(LINE), shape: "triangle" });
const caution = () => document.querySelector(".hazard");

it("shrinks a caution that was read to its icon and hazard word, for thirty days, for this person and step only", async () => {
  nowMs.value = 100 * DAY_MS;
  const { rerender } = render(<Step piece_id="p" fold={cooling} />);
  expect(caution()?.textContent).toContain(LINE);
  fireEvent.click(screen.getByLabelText(`HOT · ${LINE}`));
  await waitFor(() => expect(caution()?.textContent).toBe("HOT"));
  expect(caution()?.querySelector("svg")).not.toBeNull();
  expect(caution()?.getAttribute("aria-label")).toContain(LINE);
  nowMs.value += 29 * DAY_MS;
  rerender(<Step piece_id="p" fold={{ ...cooling }} />);
  expect(caution()?.textContent).toBe("HOT");
  rerender(<Step piece_id="p" fold={{ ...cooling, caution: note("gloves fail") }} />);
  expect(caution()?.textContent).toContain("gloves fail");
  person.value = { ...person.peek(), member_id: "apprentice" };
  rerender(<Step piece_id="p" fold={{ ...cooling }} />);
  expect(caution()?.textContent).toContain(LINE);
  person.value = NO_PERSON;
  nowMs.value += 2 * DAY_MS;
  rerender(<Step piece_id="p" fold={{ ...cooling }} />);
  expect(caution()?.textContent).toContain(LINE);
});

it("says a caution that was read again in full when its icon is pressed", async () => {
  deviceSettings.value = { ...deviceSettings.peek(), cautions_read: { [`say:${LINE}`]: nowMs.value } };
  render(<Step piece_id="p" fold={cooling} />);
  expect(caution()?.textContent).toBe("HOT");
  fireEvent.click(screen.getByLabelText(`HOT · ${LINE}`));
  await waitFor(() => expect(caution()?.textContent).toContain(LINE));
});

it.each(["FIRE", "BRITTLE"])("never shrinks what is said of %s", (hazard) => {
  const cautions_read = { [`say:${LINE}`]: nowMs.value };
  deviceSettings.value = { ...deviceSettings.peek(), cautions_read };
  render(<Step piece_id="p" fold={{ ...cooling, hazards: ["HOT", hazard] }} />);
  expect(caution()?.textContent).toContain(LINE);
  expect(caution()?.tagName).toBe("P");
});

it("turns over to the blades beyond the sixth place, and each can be the one that fell", () => {
  showBatch(["A", "B", "C", "D", "E", "F", "G"]);
  expect(screen.queryByText("G")).toBeNull();
  fireEvent.click(screen.getByText(say("batch.dropped")));
  fireEvent.click(screen.getByText(say("gate.more", { n: 2 })));
  fireEvent.click(screen.getByText("G"));
  expect(here()).toMatchObject({ id: "G", rest: ["wrong", "dropped_hard"] });
});

it("leads from a hard blade's clock to the mark that it runs from", () => {
  const number = { kind: "elapsed" as const, from_ms: 0, caption: note("hard") };
  render(<Step piece_id="p" fold={foldAnswer({ number, clocks: [brittleClock()], offers: [offer("In the oven")] })} />);
  fireEvent.click(screen.getByLabelText(say("it_was_earlier")));
  expect(here()).toMatchObject({ name: "blade", id: "p", rest: ["earlier", "quench-1"] });
});

it("keeps every figure of the sentence on one line with its degrees", () => {
  render(<Step piece_id="p" fold={foldAnswer({ sentence: note("Oven at 188 °C, wants 205 °C.") })} />);
  expect(screen.getByText("Oven at 188\u00a0°C, wants 205\u00a0°C.", { normalizer: (text) => text })).toBeTruthy();
});

it("says under FIRE, after what is for people, what to do with a flare-up", () => {
  render(<People kind="fire" />);
  const lines = [...document.querySelectorAll("p")].map((one) => one.textContent?.toLowerCase() ?? "");
  expect(lines[0]).toContain("step back");
  for (const part of words({ key: "findings.flare_up.do_now" }).toLowerCase().split(/[.] ?/).filter(Boolean))
    expect(lines[1]).toContain(part);
  expect(lines).toHaveLength(6);
});
