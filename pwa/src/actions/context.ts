import type { Store } from "../store/db.ts";
import type { SyncClient } from "../sync/client.ts";

/** What every action works with; made once when the app starts. */
export interface App {
  readonly store: Store;
  readonly now_ms: () => number;
  device_id: string;
  engine_version: string;
  sync: SyncClient | null;
  /** Tells the other tabs of this phone that logs changed. */
  readonly announce: (log_ids: readonly string[]) => void;
}

let app: App | null = null;

export function useApp(fresh: App): void {
  app = fresh;
}

export function theApp(): App {
  if (!app) throw new Error("an action was called before start()");
  return app;
}
