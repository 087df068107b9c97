import type { EngineHost } from "./host.ts";
import { packRows } from "./packing.ts";
import type { Body, Entry, LogKind } from "./types.ts";

export interface FoldMore {
  readonly log_id: string;
  readonly related?: Body;
  readonly now_ms: number;
}

export interface FoldRequest extends FoldMore {
  readonly log_kind: LogKind;
  readonly entries: readonly Entry[];
}

/** The log that the fold worker holds, so that a mark sends one entry. A worker started anew is given the log again. */
export class HeldLog {
  readonly #host: EngineHost;
  #held: { log_kind: LogKind; log_id: string; entries: Entry[] } | null = null;
  #sent_to = 0;

  constructor(host: EngineHost) {
    this.#host = host;
  }

  /** Hold this log from now on, and fold it. */
  open({ log_kind, log_id, entries, ...more }: FoldRequest): Promise<string> {
    this.#held = { log_kind, log_id, entries: [...entries] };
    this.#sent_to = 0;
    return this.again({ log_id, ...more });
  }

  /** One entry more, and fold. */
  append({ entry, ...more }: FoldMore & { readonly entry: Entry }): Promise<string> {
    const held = this.#holding(more.log_id);
    held.entries = [...held.entries.filter((one) => one.id !== entry.id), entry];
    const sent = this.#is_sent() ? this.#host.call("appendEntry", held.log_id, JSON.stringify(entry)) : null;
    return this.again(more, sent);
  }

  /** The same entries, later. */
  again(more: FoldMore, sent: Promise<unknown> | null = null): Promise<string> {
    return this.#host.twice((again) => this.#fold(more, again ? null : sent));
  }

  #fold(more: FoldMore, sent: Promise<unknown> | null): Promise<string> {
    const { log_kind, log_id, entries } = this.#holding(more.log_id);
    const before = sent ?? (this.#is_sent() ? null : this.#host.call("openLog", log_id, packRows(entries)));
    this.#sent_to = this.#host.generation;
    const facts = { log_kind, now_ms: more.now_ms, ...(more.related ? { related: more.related } : {}) };
    const folded = this.#host.call("foldOpen", log_id, JSON.stringify(facts));
    return Promise.all([folded, before]).then(([answer]) => String(answer));
  }

  #is_sent(): boolean {
    return this.#sent_to !== 0 && this.#sent_to === this.#host.generation && this.#host.alive;
  }

  #holding(log_id: string) {
    if (this.#held?.log_id !== log_id) throw new Error(`the log ${log_id} is not open`);
    return this.#held;
  }
}
