import type { Store } from "../store/db.ts";
import { nextToPush, someRefused } from "../store/outbox.ts";
import { dropLease, takeLease } from "./lease.ts";
import { isBusy, next, retryAfterMs, type SyncEvent, type SyncState } from "./machine.ts";
import { fetchSmallCopies, sendPictures } from "./pictures.ts";
import { syncPage } from "./round.ts";
import { CallFailed, type Fetch } from "./transport.ts";

/** The world that the client lives in, given from outside so that tests can break it. */
export interface SyncWorld {
  readonly store: Store;
  readonly fetching: Fetch;
  readonly tab: string;
  readonly now_ms: () => number;
  readonly chance: () => number;
  /** Run later; gives how to call it off. */
  readonly later: (delay_ms: number, run: () => void) => () => void;
  readonly is_joined: () => boolean;
  readonly on_state: (state: SyncState, next_try_ms: number | null) => void;
  readonly on_contact: (server_now_ms: number) => void;
  /** Rows came in for these logs; folding them must not hold up the round. */
  readonly on_rows: (log_ids: ReadonlySet<string>) => void;
  readonly on_sent: () => Promise<void>;
  /** Something other than the network went wrong: it must be seen. */
  readonly on_trouble: (error: unknown) => void;
}

/** How a round ended, and how long to rest after it. */
interface Ending {
  readonly event: SyncEvent;
  readonly wait_ms: number;
}

/** How long after a good round this phone looks again for what other phones wrote. */
const LOOK_AGAIN_MS = 30_000;

const FAILURE_EVENTS: Readonly<Partial<Record<CallFailed["kind"], SyncEvent>>> = {
  unauthorised: "unauthorised",
  too_old: "too_old",
};

/** Pushes, pulls, waits, tries again: nothing leaves the queue until the server names it. */
export class SyncClient {
  state: SyncState = "offline";
  #failures = 0;
  #again = false;
  #running: Promise<void> | null = null;
  #call_off: () => void = () => undefined;

  constructor(private readonly world: SyncWorld) {}

  /** Something happened that makes a try worthwhile: start, online, visible, a mark. */
  kick(): Promise<void> {
    return this.#start("kick", false);
  }

  /** A person asked; this ignores what the browser says of being online, another tab's lease, and the wait. */
  syncNow(): Promise<void> {
    return this.#start("asked", true);
  }

  #start(event: SyncEvent, asked: boolean): Promise<void> {
    if (!this.world.is_joined()) return Promise.resolve();
    if (this.#running) {
      // What a person asked for is no part of a round begun before: that may still end as the sign-in of then does.
      if (asked) return this.#running.then(() => this.#start(event, true));
      this.#again = true;
      return this.#running;
    }
    this.#to(event);
    if (!isBusy(this.state)) return Promise.resolve();
    this.#running = this.#rounds(asked).finally(() => {
      this.#running = null;
      // A mark made while the round was ending still wants its own.
      if (this.#again && (this.state === "waiting" || this.state === "refused")) void this.kick();
    });
    return this.#running;
  }

  #to(event: SyncEvent, next_try_ms: number | null = null): void {
    this.state = next(this.state, event);
    this.world.on_state(this.state, next_try_ms);
  }

  async #rounds(asked: boolean): Promise<void> {
    this.#call_off();
    const { store, tab } = this.world;
    const ending = await this.#tried(asked);
    // The lease only saves work: failing to give it back must not hide how the round ended.
    await dropLease(store, tab).catch(() => undefined);
    // Only now: a timer that went off while the lease was still being given back would find this round running.
    this.#rest(ending);
  }

  async #tried(asked: boolean): Promise<Ending> {
    const { store, tab, now_ms } = this.world;
    try {
      if (!(await takeLease(store, tab, now_ms())) && !asked) return { event: "done", wait_ms: LOOK_AGAIN_MS };
      do {
        this.#again = false;
        await this.#round();
      } while (this.#again);
      this.#failures = 0;
      return { event: (await someRefused(store)) ? "done_some_refused" : "done", wait_ms: LOOK_AGAIN_MS };
    } catch (error) {
      return this.#failed(error);
    }
  }

  #failed(error: unknown): Ending {
    if (!(error instanceof CallFailed)) {
      this.world.on_trouble(error);
      return { event: "unreachable", wait_ms: LOOK_AGAIN_MS };
    }
    this.#failures += 1;
    const wait_ms = error.retry_after_s
      ? error.retry_after_s * 1000
      : retryAfterMs(this.#failures, this.world.chance());
    return { event: FAILURE_EVENTS[error.kind] ?? "unreachable", wait_ms };
  }

  #rest({ event, wait_ms }: Ending): void {
    this.#to(event, this.world.now_ms() + wait_ms);
    this.#call_off = this.world.later(wait_ms, () => void this.kick());
  }

  /** Text until nothing is left either way, then pictures, then the small copies of other phones' pictures. */
  async #round(): Promise<void> {
    const { store, fetching } = this.world;
    const missed: CallFailed[] = [];
    await this.#text();
    const text_waits = async () => (await nextToPush(store, 1)).length > 0;
    while (!(await sendPictures(store, fetching, text_waits, missed))) await this.#text();
    await fetchSmallCopies(store, fetching);
    await this.world.on_sent();
    if (missed[0]) throw missed[0]; // the next round comes later, as after any failure
  }

  async #text(): Promise<void> {
    const { store, fetching, now_ms } = this.world;
    for (;;) {
      const page = await syncPage(store, fetching, now_ms());
      this.world.on_contact(page.server_now_ms);
      await this.world.on_sent();
      if (page.changed.size > 0) this.world.on_rows(page.changed);
      if (!page.more_to_push && !page.more_to_pull) return;
      this.#to(page.more_to_push ? "written" : "pushed");
      await takeLease(store, this.world.tab, now_ms());
    }
  }
}
