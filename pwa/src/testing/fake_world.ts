import type { Store } from "../store/db.ts";
import { SyncClient, type SyncWorld } from "../sync/client.ts";
import type { FakeServer } from "./fake_server.ts";

/** A client in a world whose clock, chance and timers the test holds. */
export function clientOf(store: Store, server: FakeServer, change: Partial<SyncWorld> = {}) {
  const seen = {
    states: [] as string[],
    rows: [] as string[],
    trouble: [] as unknown[],
    timers: [] as { delay_ms: number; run: () => void }[],
  };
  const client = new SyncClient({
    store,
    fetching: server.fetching,
    tab: "tab-1",
    now_ms: () => 5_000_000,
    chance: () => 0.5,
    later: (delay_ms, run) => {
      seen.timers.push({ delay_ms, run });
      return () => undefined;
    },
    is_joined: () => true,
    on_state: (state) => seen.states.push(state),
    on_contact: () => undefined,
    on_rows: (ids) => seen.rows.push(...ids),
    on_sent: async () => undefined,
    on_trouble: (error) => seen.trouble.push(error),
    ...change,
  });
  return { client, seen };
}
