import { cleanup, fireEvent, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it } from "vitest";
import { deviceSettings, person } from "../../state/person.ts";
import { brittleClock, foldAnswer } from "../../testing/folds.ts";
import { freshApp } from "../../testing/fresh_app.ts";
import { entryDetail, entryText } from "../entry_text.ts";
import { onKey } from "../keys.ts";
import { say, words } from "../say.ts";
import { voice } from "../speech.ts";
import { More } from "./More.tsx";

beforeEach(() => {
  freshApp();
  person.value = { ...person.peek(), theme: "day" };
  deviceSettings.value = { ...deviceSettings.peek(), speech_on: true, grinding_on: false };
  voice.value = { localService: true } as SpeechSynthesisVoice;
});

afterEach(() => {
  cleanup();
  voice.value = null;
});

it("turns day to night and back, two presses from a working screen, or by one key", () => {
  render(<More piece_id="p" fold={foldAnswer()} />);
  fireEvent.click(screen.getByText(say("more.night")));
  expect(person.value.theme).toBe("night");
  onKey(new KeyboardEvent("keydown", { key: "N" }));
  expect(person.value.theme).toBe("day");
});

it("stops the voice and lets it speak again", () => {
  const { rerender } = render(<More piece_id="p" fold={foldAnswer()} />);
  fireEvent.click(screen.getByText(say("more.hush")));
  expect(deviceSettings.value.speech_on).toBe(false);
  rerender(<More piece_id="p" fold={foldAnswer()} />);
  fireEvent.click(screen.getByText(say("more.speak")));
  expect(deviceSettings.value.speech_on).toBe(true);
});

it("asks whether somebody grinds while a blade is hard, and only then", () => {
  const { rerender } = render(<More piece_id="p" fold={foldAnswer()} />);
  expect(screen.queryByText(say("set.grinding_on"))).toBeNull();
  rerender(<More piece_id="p" fold={foldAnswer({ clocks: [brittleClock()] })} />);
  fireEvent.click(screen.getByText(say("set.grinding_on.on")));
  expect(deviceSettings.value.grinding_on).toBe(true);
});

it.each([
  ["warp_cold_hard", words({ key: "findings.warp_cold_hard.title" })],
  ["of_a_newer_version", "of a newer version"],
])("names the finding %s in the log by its title", (finding, title) => {
  const text = entryText({ kind: "finding", body: { finding } } as unknown as Parameters<typeof entryText>[0]);
  expect(text).toBe(say("log.finding", { what: title }));
});

it("tells hardness in the log as each reading, their mean and their spread", () => {
  const body = { check: "hardness", place: "edge", readings_hrc: [58.5, 59, 60.5] };
  const text = entryDetail({ kind: "check", body } as unknown as Parameters<typeof entryDetail>[0]);
  expect(text).toBe("Edge, 58.5 HRC, 59 HRC, 60.5 HRC, mean 59.3 HRC, spread 2");
});
