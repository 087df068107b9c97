import type { WorkerCall, WorkerReply, WorkerRequest } from "./messages.ts";

/** The engine itself failed: a fault in it, a worker that died or did not answer. Never the smith's doing. */
export class EngineBroken extends Error {
  override readonly name = "EngineBroken";
}

/** As much of `Worker` as the host needs. */
export interface WorkerLike {
  postMessage(message: WorkerRequest): void;
  terminate(): void;
  addEventListener(kind: "message", hear: (event: MessageEvent<WorkerReply>) => void): void;
  addEventListener(kind: "error", hear: (event: ErrorEvent) => void): void;
}

interface Waiting {
  readonly resolve: (answer: string | number) => void;
  readonly reject: (reason: EngineBroken) => void;
  readonly timer: ReturnType<typeof setTimeout>;
}

export interface HostOptions {
  readonly make: () => WorkerLike;
  readonly time_out_ms: number;
}

/** One worker, started when first asked; a worker that broke is put away and the next question starts a new one. */
export class EngineHost {
  #worker: WorkerLike | null = null;
  #next_id = 1;
  #waiting = new Map<number, Waiting>();
  readonly #options: HostOptions;
  /** Counts the workers so far: who remembers what a worker holds compares it. */
  generation = 0;

  constructor(options: HostOptions) {
    this.#options = options;
  }

  get alive(): boolean {
    return this.#worker !== null;
  }

  /** Start the worker without asking anything, so that the first question finds it ready. */
  warm(): void {
    this.#worker ??= this.#start();
  }

  call(...call: WorkerCall): Promise<string | number> {
    this.warm();
    const id = this.#next_id++;
    return new Promise((resolve, reject) => {
      const { time_out_ms } = this.#options;
      const timer = setTimeout(() => this.#broke(`no answer in ${time_out_ms / 1000} s: ${call[0]}`), time_out_ms);
      this.#waiting.set(id, { resolve, reject, timer });
      this.#worker?.postMessage({ id, call });
    });
  }

  /** Do it, and once more from the start when the worker breaks on the way: a phone that slept long finds it silent. */
  async twice<Answer>(work: (again: boolean) => Promise<Answer>): Promise<Answer> {
    try {
      return await work(false);
    } catch (error) {
      if (!(error instanceof EngineBroken)) throw error;
      return work(true);
    }
  }

  #start(): WorkerLike {
    const worker = this.#options.make();
    this.generation += 1;
    worker.addEventListener("message", ({ data }) => this.#answered(data));
    worker.addEventListener("error", ({ message }) => this.#broke(message || "the engine's worker did not load"));
    return worker;
  }

  #answered({ id, ok, fault }: WorkerReply): void {
    const asked = this.#waiting.get(id);
    if (!asked) return;
    if (ok === undefined) {
      this.#broke(fault ?? "an answer without content");
      return;
    }
    clearTimeout(asked.timer);
    this.#waiting.delete(id);
    asked.resolve(ok);
  }

  /** After a fault nothing the worker holds is trusted. */
  #broke(reason: string): void {
    this.#worker?.terminate();
    this.#worker = null;
    const waiting = [...this.#waiting.values()];
    this.#waiting.clear();
    for (const { reject, timer } of waiting) {
      clearTimeout(timer);
      reject(new EngineBroken(reason));
    }
  }
}
