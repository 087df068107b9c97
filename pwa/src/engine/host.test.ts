import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { HeldLog } from "./held_log.ts";
import { EngineBroken, EngineHost, type WorkerLike } from "./host.ts";
import type { WorkerReply, WorkerRequest } from "./messages.ts";
import type { Entry } from "./types.ts";

type Answerer = (request: WorkerRequest) => WorkerReply | null;

/** A worker that answers by a script; what it was asked can be looked at. */
class ScriptedWorker extends EventTarget {
  readonly asked: WorkerRequest[] = [];
  ended = false;

  constructor(readonly answerer: Answerer) {
    super();
  }

  postMessage(request: WorkerRequest): void {
    this.asked.push(request);
    const reply = this.answerer(request);
    if (reply) queueMicrotask(() => this.dispatchEvent(new MessageEvent("message", { data: reply })));
  }

  terminate(): void {
    this.ended = true;
  }
}

const TIME_OUT_MS = 5000;

function hostOf(...scripts: Answerer[]): { host: EngineHost; workers: ScriptedWorker[] } {
  const workers: ScriptedWorker[] = [];
  const make = () => {
    const worker = new ScriptedWorker(scripts[workers.length] ?? echo);
    workers.push(worker);
    return worker as unknown as WorkerLike;
  };
  return { host: new EngineHost({ make, time_out_ms: TIME_OUT_MS }), workers };
}

const echo: Answerer = ({ id, call }) => ({ id, ok: call.join("|") });
const faulty: Answerer = ({ id }) => ({ id, fault: "MemoryError" });
const silent: Answerer = () => null;

const entry = (id: string): Entry => ({ id, kind: "note", body: {} }) as unknown as Entry;
const named = (worker: ScriptedWorker | undefined) => worker?.asked.map(({ call }) => call[0]);

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

test("no worker is started before something is asked", async () => {
  const { host, workers } = hostOf();
  expect(workers).toHaveLength(0);
  expect(await host.call("ask", "steels", "{}")).toBe("ask|steels|{}");
  expect(workers).toHaveLength(1);
});

test("warming starts the one worker that later answers", async () => {
  const { host, workers } = hostOf();
  host.warm();
  host.warm();
  await host.call("ask", "steels", "{}");
  expect(workers).toHaveLength(1);
});

test("answers find their questions in any order", async () => {
  const waiting: WorkerRequest[] = [];
  const { host, workers } = hostOf((request) => {
    waiting.push(request);
    return null;
  });
  const first = host.call("ask", "steels", "{}");
  const second = host.call("ask", "media", "{}");
  for (const { id, call } of waiting.toReversed()) {
    workers[0]?.dispatchEvent(new MessageEvent("message", { data: { id, ok: call[1] } }));
  }
  expect([await first, await second]).toEqual(["steels", "media"]);
});

test("a fault ends the worker, fails everything that waits, and the next question finds a new one", async () => {
  const { host, workers } = hostOf(faulty);
  const both = [host.call("ask", "steels", "{}"), host.call("ask", "media", "{}")];
  const ends = await Promise.allSettled(both);
  for (const end of ends) {
    expect(end.status === "rejected" && end.reason).toBeInstanceOf(EngineBroken);
  }
  expect(workers[0]?.ended).toBe(true);
  expect(await host.call("ask", "steels", "{}")).toBe("ask|steels|{}");
  expect(host.generation).toBe(2);
});

test("a worker that does not answer in time is ended", async () => {
  const { host, workers } = hostOf(silent);
  const asked = host.call("ask", "steels", "{}");
  const failed = expect(asked).rejects.toThrow("no answer in 5 s: ask");
  await vi.advanceTimersByTimeAsync(TIME_OUT_MS);
  await failed;
  expect(workers[0]?.ended).toBe(true);
});

test("a worker that cannot be loaded says so", async () => {
  const { host, workers } = hostOf(silent);
  const asked = host.call("ask", "steels", "{}");
  workers[0]?.dispatchEvent(new Event("error"));
  await expect(asked).rejects.toThrow("did not load");
});

test("a mark sends one entry, not the log", async () => {
  const { host, workers } = hostOf();
  const log = new HeldLog(host);
  await log.open({ log_kind: "piece", log_id: "a", entries: [entry("1"), entry("2")], now_ms: 1 });
  await log.append({ log_id: "a", entry: entry("3"), now_ms: 2 });
  await log.again({ log_id: "a", now_ms: 3 });
  expect(named(workers[0])).toEqual(["openLog", "foldOpen", "appendEntry", "foldOpen", "foldOpen"]);
  expect(workers[0]?.asked[2]?.call[2]).toBe(JSON.stringify(entry("3")));
});

test("another log takes the place of the one before, and the one before must be opened again", async () => {
  const { host } = hostOf();
  const log = new HeldLog(host);
  await log.open({ log_kind: "piece", log_id: "a", entries: [], now_ms: 1 });
  await log.open({ log_kind: "piece", log_id: "b", entries: [], now_ms: 1 });
  expect(() => log.append({ log_id: "a", entry: entry("1"), now_ms: 2 })).toThrow("not open");
});

test("a worker that broke between two marks is given the whole log again, the new entry in it", async () => {
  const { host, workers } = hostOf(({ id, call }) =>
    call[0] === "appendEntry" ? { id, fault: "MemoryError" } : { id, ok: "{}" },
  );
  const log = new HeldLog(host);
  await log.open({ log_kind: "piece", log_id: "a", entries: [entry("1")], now_ms: 1 });
  await log.append({ log_id: "a", entry: entry("2"), now_ms: 2 });
  expect(workers).toHaveLength(2);
  expect(named(workers[1])).toEqual(["openLog", "foldOpen"]);
  expect(workers[1]?.asked[0]?.call[2]).toContain("1\\n2");
});

test("an engine that breaks twice on the same fold is told, not tried for ever", async () => {
  const { host, workers } = hostOf(faulty, faulty, faulty);
  const log = new HeldLog(host);
  const opened = log.open({ log_kind: "piece", log_id: "a", entries: [], now_ms: 1 });
  await expect(opened).rejects.toBeInstanceOf(EngineBroken);
  expect(workers).toHaveLength(2);
});

test("a worker that was silent too long is asked once more, from the start", async () => {
  const { host, workers } = hostOf(silent);
  const tries: boolean[] = [];
  const asked = host.twice((again) => {
    tries.push(again);
    return host.call("foldPacked", "a", "[]", "{}");
  });
  await vi.advanceTimersByTimeAsync(TIME_OUT_MS);
  expect(await asked).toBe("foldPacked|a|[]|{}");
  expect([tries, workers.map(({ ended }) => ended)]).toEqual([
    [false, true],
    [true, false],
  ]);
});
