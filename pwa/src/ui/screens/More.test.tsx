import { cleanup, fireEvent, render, screen } from "@testing-library/preact";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { theApp } from "../../actions/context.ts";
import type { Entry } from "../../engine/types.ts";
import { type OpenBlade, openBlade } from "../../state/blades.ts";
import { deviceSettings, person } from "../../state/person.ts";
import { writeSmall } from "../../store/photos.ts";
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
  deviceSettings.value = { ...deviceSettings.peek(), speech_on: true, grinding_on: false, apprentice_on: true };
  voice.value = { localService: true } as SpeechSynthesisVoice;
});

afterEach(() => {
  cleanup();
  vi.restoreAllMocks();
  openBlade.value = null;
  voice.value = null;
});

it("turns day to night and back, two presses from a working screen, or by one key", () => {
  render(<More piece_id="p" fold={foldAnswer()} />);
  fireEvent.click(screen.getByText(say("more.night")));
  expect(person.value.theme).toBe("night");
  onKey(new KeyboardEvent("keydown", { key: "N" }));
  expect(person.value.theme).toBe("day");
});

const WHY = { key: "say:Still air keeps both sides alike." };

it("says why, with room for one picture of the step, unless whoever teaches has switched that off", () => {
  const fold = foldAnswer({ why: WHY, step: "cycle-2" });
  const { rerender } = render(<More piece_id="p" fold={fold} />);
  expect(screen.getByText("Still air keeps both sides alike.")).toBeTruthy();
  expect(screen.getByText(say("photo.of_step"))).toBeTruthy();
  deviceSettings.value = { ...deviceSettings.peek(), apprentice_on: false };
  rerender(<More piece_id="p" fold={{ ...fold }} />);
  expect(screen.queryByText("Still air keeps both sides alike.")).toBeNull();
  expect(screen.queryByText(say("photo.of_step"))).toBeNull();
});

it("shows the newest picture of this step beside its why, and none of another step or taken back", async () => {
  globalThis.URL.createObjectURL ??= () => "";
  vi.spyOn(URL, "createObjectURL").mockImplementation(() => "blob:newest");
  await writeSmall(theApp().store, { sha256: "b", bytes: new ArrayBuffer(1), media_type: "image/jpeg" });
  const photo = (id: string, step: string) => ({ id, kind: "photo", body: { step, sha256: id } }) as unknown as Entry;
  const entries = [photo("a", "cycle-2"), photo("b", "cycle-2"), photo("c", "cycle-2"), photo("d", "temper-1")];
  const fold = foldAnswer({ why: WHY, step: "cycle-2", withdrawn: ["c"] });
  openBlade.value = { entries } as unknown as OpenBlade;
  render(<More piece_id="p" fold={fold} />);
  const img = await screen.findByAltText(say("photo.of_step"));
  expect(img.getAttribute("src")).toBe("blob:newest");
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
