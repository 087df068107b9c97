// @vitest-environment node
import { afterEach, beforeEach, expect, it, vi } from "vitest";

/** A phone's audio: a context that was interrupted does not come back, one made anew within a tap runs. */
class Audio {
  static made: Audio[] = [];
  static hangs = false;
  state = "suspended";
  constructor() {
    Audio.made.push(this);
  }
  resume(): Promise<void> {
    if (this.state === "interrupted")
      return Audio.hangs ? new Promise(() => undefined) : Promise.reject(new Error("no"));
    this.state = "running";
    return Promise.resolve();
  }
  close(): Promise<void> {
    this.state = "closed";
    return Promise.resolve();
  }
}

beforeEach(() => {
  vi.resetModules();
  vi.useFakeTimers();
  vi.stubGlobal("AudioContext", Audio);
  Audio.made = [];
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

/** Touch the screen, and let the phone have the time it takes. */
async function touched(unlock: () => Promise<boolean>): Promise<boolean> {
  const may = unlock();
  await vi.advanceTimersByTimeAsync(2_000);
  return may;
}

it("may sound from the first touch on, and not before", async () => {
  const { soundUnlocked, unlock } = await import("./sound.ts");
  expect(soundUnlocked()).toBe(false);
  expect(await touched(unlock)).toBe(true);
  expect(soundUnlocked()).toBe(true);
});

it.each([false, true])(
  "that a call or the lock screen interrupted is silent and says so, until a touch (hangs: %s)",
  async (hangs) => {
    const { play, soundUnlocked, unlock } = await import("./sound.ts");
    await touched(unlock);
    const [first] = Audio.made;
    if (first) first.state = "interrupted";
    Audio.hangs = hangs;
    expect(soundUnlocked()).toBe(false);
    expect(play("alarm")).toBe(false);
    expect(await touched(unlock)).toBe(true);
    expect(Audio.made.map((one) => one.state)).toEqual(["closed", "running"]);
    expect(soundUnlocked()).toBe(true);
  },
);

it("is not to be had where the browser has none", async () => {
  vi.stubGlobal("AudioContext", undefined);
  const { unlock } = await import("./sound.ts");
  expect(await touched(unlock)).toBe(false);
});
