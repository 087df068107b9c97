import { type IDBPDatabase, type IDBPTransaction, openDB } from "idb";
import { DATABASE_NAME, DATABASE_VERSION, type Schema, type StoreName, upgrade } from "./schema.ts";

export type Transaction<Mode extends IDBTransactionMode> = IDBPTransaction<Schema, StoreName[], Mode>;

export interface StoreEvents {
  /** Another tab holds an older version open and does not let go. */
  readonly blocked: () => void;
  /** A newer version asked this page to let go of the database; it did. */
  readonly replaced: () => void;
}

/** So long an opening takes only when something holds it up. */
const BLOCKED_MS = 5_000;

const SILENT: StoreEvents = { blocked: () => undefined, replaced: () => undefined };

/** The browser took the connection away; the same wish on a new connection may work. */
function isLostConnection(error: unknown): boolean {
  if (!(error instanceof DOMException)) return false;
  if (error.name === "InvalidStateError") return true;
  return (
    error.name === "UnknownError" || (error.name === "AbortError" && /connection|server lost/i.test(error.message))
  );
}

export function isQuota(error: unknown): boolean {
  return error instanceof DOMException && error.name === "QuotaExceededError";
}

/**
 * The phone's database. Every change is one short transaction; nothing slow (fetch, hash, resize) is awaited inside,
 * because the browser commits a transaction as soon as nothing of it is pending.
 */
export class Store {
  #opening: Promise<IDBPDatabase<Schema>> | null = null;
  #let_go = false;

  constructor(
    private readonly events: StoreEvents = SILENT,
    private readonly name: string = DATABASE_NAME,
    private readonly version: number = DATABASE_VERSION,
  ) {}

  open(): Promise<IDBPDatabase<Schema>> {
    if (this.#let_go) return Promise.reject(new DOMException("a newer version took the database", "VersionError"));
    this.#opening ??= this.#connect();
    return this.#opening;
  }

  async #connect(): Promise<IDBPDatabase<Schema>> {
    const opening = openDB<Schema>(this.name, this.version, {
      upgrade: (db, from_version) => upgrade(db, from_version),
      blocked: () => this.events.blocked(),
      blocking: () => this.#release(),
      terminated: () => this.#forget(),
    });
    // Not every tab that waits is told so by the browser.
    const waiting = setTimeout(() => this.events.blocked(), BLOCKED_MS);
    try {
      return await opening;
    } catch (error) {
      this.#forget();
      throw error;
    } finally {
      clearTimeout(waiting);
    }
  }

  #forget(): void {
    this.#opening = null;
  }

  #release(): void {
    this.#let_go = true;
    void this.close();
    this.events.replaced();
  }

  async close(): Promise<void> {
    const opening = this.#opening;
    this.#opening = null;
    if (opening) (await opening).close();
  }

  /** Look, without changing anything. */
  read<T>(names: StoreName[], work: (tx: Transaction<"readonly">) => Promise<T>): Promise<T> {
    return this.#reopeningOnce((db) => run(db.transaction(names, "readonly"), work));
  }

  /**
   * Change; resolves only when the transaction is complete on disk. `relaxed` is for what can be made again or missed:
   * it survives a killed page, perhaps not a dead battery, and holds up no mark.
   */
  write<T>(
    names: StoreName[],
    work: (tx: Transaction<"readwrite">) => Promise<T>,
    durability: "strict" | "relaxed" = "strict",
  ): Promise<T> {
    return this.#reopeningOnce((db) => run(db.transaction(names, "readwrite", { durability }), work));
  }

  async #reopeningOnce<T>(attempt: (db: IDBPDatabase<Schema>) => Promise<T>): Promise<T> {
    try {
      return await attempt(await this.open());
    } catch (error) {
      if (!isLostConnection(error) || this.#let_go) throw error;
      this.#forget();
      return attempt(await this.open());
    }
  }
}

async function run<Mode extends IDBTransactionMode, T>(
  tx: Transaction<Mode>,
  work: (tx: Transaction<Mode>) => Promise<T>,
): Promise<T> {
  try {
    const [answer] = await Promise.all([work(tx), tx.done]);
    return answer;
  } catch (error) {
    abort(tx);
    // A failed transaction's own error says more (quota) than that of the request that it took along.
    throw tx.error ?? error;
  }
}

function abort(tx: { abort(): void; readonly done: Promise<void> }): void {
  tx.done.catch(() => undefined);
  try {
    tx.abort();
  } catch {
    // Already finished or aborted by the browser: nothing is left to undo.
  }
}
