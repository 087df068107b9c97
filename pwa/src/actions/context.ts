import type { Store } from "../store/db.ts";
import type { SyncClient } from "../sync/client.ts";

/** What every action works with; made once when the app starts. */
export interface App {
  readonly store: Store;
  /** The app's clock, which is never set back. */
  readonly now_ms: () => number;
  /** The same, for what is written down. */
  readonly stamp_ms: () => number;
  /** What the phone's own clock says. */
  readonly phone_ms: () => number;
  device_id: string;
  engine_version: string;
  sync: SyncClient | null;
  /** Tells the other tabs of this phone that logs changed. */
  readonly announce: (log_ids: readonly string[]) => void;
}

let app: App | null = null;
let say_ready: (ready: App) => void = () => undefined;
const ready = new Promise<App>((resolve) => {
  say_ready = resolve;
});

/** The app exists; what it remembers of itself may still be on its way. */
export function useApp(fresh: App): void {
  app = fresh;
}

/** Who this phone is and who holds it is known: acts may be written down. */
export function nowReady(): void {
  say_ready(theApp());
}

/** The app, once it is ready: a tap that comes before waits that long, and is not lost. */
export async function readyApp(): Promise<App> {
  await ready;
  return theApp();
}

export function theApp(): App {
  if (!app) throw new Error("an action was called before start()");
  return app;
}
