/** The states of this phone as a client, and what each event makes of them. */

export const STATES = ["offline", "pushing", "pulling", "waiting", "refused", "signed_out", "upgrade_needed"] as const;
export type SyncState = (typeof STATES)[number];

export const EVENTS = [
  "kick", // start, online, visible, a mark, the timer
  "asked", // a person pressed "sync now", or the phone has just joined
  "pushed", // nothing left to push, more rows to pull
  "written", // a mark came in between two pages of a pull
  "done", // nothing left to do
  "done_some_refused",
  "unreachable", // no answer, no answer of ours, or a server in trouble
  "unauthorised",
  "too_old",
] as const;
export type SyncEvent = (typeof EVENTS)[number];

type Row = Readonly<Record<SyncEvent, SyncState>>;

/** A state in which nothing is under way: late answers of a round given up change nothing. */
const resting = (self: SyncState, kick: SyncState): Row => ({
  kick,
  asked: "pushing",
  pushed: self,
  written: self,
  done: self,
  done_some_refused: self,
  unreachable: self,
  unauthorised: self,
  too_old: self,
});

const ENDINGS = {
  done: "waiting",
  done_some_refused: "refused",
  unreachable: "offline",
  unauthorised: "signed_out",
  too_old: "upgrade_needed",
} as const;

export const TABLE: Readonly<Record<SyncState, Row>> = {
  offline: resting("offline", "pushing"),
  waiting: resting("waiting", "pushing"),
  refused: resting("refused", "pushing"),
  // A sign-in or an update is needed first: only a person starts another try. The queue is paused, never cleared.
  signed_out: resting("signed_out", "signed_out"),
  upgrade_needed: resting("upgrade_needed", "upgrade_needed"),
  pushing: { kick: "pushing", asked: "pushing", pushed: "pulling", written: "pushing", ...ENDINGS },
  pulling: { kick: "pulling", asked: "pulling", pushed: "pulling", written: "pushing", ...ENDINGS },
};

export const next = (state: SyncState, event: SyncEvent): SyncState => TABLE[state][event];

export const isBusy = (state: SyncState): boolean => state === "pushing" || state === "pulling";

const FIRST_RETRY_MS = 2_000;
const LONGEST_RETRY_MS = 300_000;

/** How long to wait after so many failures in a row: doubled each time, spread so that phones do not come back together. */
export function retryAfterMs(failures: number, chance: number): number {
  const whole = Math.min(LONGEST_RETRY_MS, FIRST_RETRY_MS * 2 ** Math.max(0, failures - 1));
  return Math.round(whole * (0.5 + chance / 2));
}
