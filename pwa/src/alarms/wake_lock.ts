import type { WakeLockState } from "../state/alarms.ts";

let held: WakeLockSentinel | null = null;
let wanted = false;

/**
 * Keep the screen lit while something urgent runs. The browser lets go whenever the page is hidden, so this is asked
 * again each time it is seen; a refusal is said ("the screen may sleep"), and the clocks are right all the same.
 */
export async function keepAwake(want: boolean, tell: (state: WakeLockState) => void): Promise<void> {
  wanted = want;
  if (!("wakeLock" in navigator)) return tell("unsupported");
  if (!want) {
    const lock = held;
    held = null;
    await lock?.release().catch(() => undefined);
    return tell("off");
  }
  if (held && !held.released) return tell("held");
  await request(tell);
}

async function request(tell: (state: WakeLockState) => void): Promise<void> {
  try {
    const lock = await navigator.wakeLock.request("screen");
    lock.addEventListener("release", () => {
      if (held === lock) held = null;
      tell(wanted ? "refused" : "off");
    });
    held = lock;
    tell("held");
  } catch {
    // Battery saver, a hidden page, an engine without it: all the same to the person, and shown as such.
    tell("refused");
  }
}
