import type { Entry } from "../engine/types.ts";
import type { PushResult } from "../store/outbox.ts";
import type { PulledEntry } from "./merge.ts";

export interface SyncRequest {
  readonly epoch: string | null;
  /** Whose log this is: a token of another shop is no sign-in then. */
  readonly shop_id: string | undefined;
  readonly since: number;
  readonly entries: readonly Entry[];
  readonly want: number;
  readonly now_ms: number;
}

export interface SyncAnswer {
  readonly epoch: string;
  readonly now_ms: number;
  readonly results: readonly PushResult[];
  readonly rows: readonly PulledEntry[];
  readonly next_since: number;
  readonly more: boolean;
}

export type FailureKind = "unreachable" | "unauthorised" | "too_old" | "too_big" | "refused" | "missing";

/** A call that did not do what it should; `unreachable` covers everything that is not an answer of our server. */
export class CallFailed extends Error {
  constructor(
    readonly kind: FailureKind,
    readonly status = 0,
    readonly code = "",
    readonly retry_after_s: number | null = null,
  ) {
    super(`${kind} ${status} ${code}`);
    this.name = "CallFailed";
  }
}

/** It is about what was sent, not about the link, the sign-in or a server that asks for time: the next may go through. */
export function isOfItsOwn(error: unknown): error is CallFailed {
  if (!(error instanceof CallFailed) || error.retry_after_s) return false;
  return error.status >= 400 && error.kind !== "unauthorised" && error.kind !== "too_old";
}

const CALL_MS = 30_000;
const EPOCH_HEADER = "Temperward-Epoch";
const KINDS: Readonly<Record<number, FailureKind>> = {
  401: "unauthorised",
  404: "missing",
  413: "too_big",
  426: "too_old",
};

function kindOf(status: number): FailureKind {
  const known = KINDS[status];
  if (known) return known;
  return status >= 500 || status === 429 || status === 408 ? "unreachable" : "refused";
}

export type Fetch = (path: string, init?: RequestInit) => Promise<Response>;

/** The browser's own; looked up at each call. */
export const fetching: Fetch = (path, init) => fetch(path, init);

/** One request with a timeout; anything but a success becomes a `CallFailed`. */
export async function call(
  fetching: Fetch,
  path: string,
  init: RequestInit = {},
  limit_ms = CALL_MS,
): Promise<Response> {
  let reply: Response;
  try {
    reply = await fetching(path, {
      credentials: "same-origin",
      redirect: "error",
      ...init,
      signal: AbortSignal.timeout(limit_ms),
    });
  } catch {
    throw new CallFailed("unreachable");
  }
  // Every answer of our server carries its epoch; a captive portal's page, whatever its status, does not.
  if (!reply.headers.get(EPOCH_HEADER)) throw new CallFailed("unreachable", reply.status);
  if (!reply.ok) throw await failureOf(reply);
  return reply;
}

async function failureOf(reply: Response): Promise<CallFailed> {
  const kind = kindOf(reply.status);
  const payload = await readJson(reply).catch(() => ({}) as Record<string, unknown>);
  const retry_s = Number(reply.headers.get("Retry-After"));
  return new CallFailed(kind, reply.status, String(payload.message ?? ""), retry_s > 0 ? retry_s : null);
}

async function readJson(reply: Response): Promise<Record<string, unknown>> {
  const payload: unknown = await reply.json();
  if (payload === null || typeof payload !== "object") throw new CallFailed("unreachable", reply.status);
  return payload as Record<string, unknown>;
}

/** The JSON object of an answer; a page that is no JSON counts as no answer. */
export async function jsonOf<T>(reply: Response): Promise<T> {
  try {
    return (await readJson(reply)) as T;
  } catch {
    throw new CallFailed("unreachable", reply.status);
  }
}

/** The bytes of an answer; one that breaks off on its way counts as no answer. */
export async function bytesOf(reply: Response): Promise<ArrayBuffer> {
  try {
    return await reply.arrayBuffer();
  } catch {
    throw new CallFailed("unreachable", reply.status);
  }
}

async function gzipped(text: string): Promise<{ body: BodyInit; headers: Record<string, string> }> {
  const headers = { "Content-Type": "application/json" };
  if (typeof CompressionStream === "undefined") return { body: text, headers };
  const packed = new Blob([text]).stream().pipeThrough(new CompressionStream("gzip"));
  return { body: await new Response(packed).arrayBuffer(), headers: { ...headers, "Content-Encoding": "gzip" } };
}

/** Push and pull in one call. An answer without an epoch is not ours: it counts as offline. */
export async function callSync(fetching: Fetch, request: SyncRequest): Promise<SyncAnswer> {
  const reply = await call(fetching, "/api/sync", { method: "POST", ...(await gzipped(JSON.stringify(request))) });
  const answer = await jsonOf<SyncAnswer>(reply);
  if (typeof answer.epoch !== "string" || !Array.isArray(answer.results) || !Array.isArray(answer.rows))
    throw new CallFailed("unreachable", reply.status);
  return answer;
}

/** POST (or DELETE, GET) a small JSON call. */
export async function callJson<T>(fetching: Fetch, method: string, path: string, body?: unknown): Promise<T> {
  const init: RequestInit =
    body === undefined
      ? { method }
      : { method, headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) };
  const reply = await call(fetching, path, init);
  return reply.status === 204 ? (undefined as T) : jsonOf<T>(reply);
}

/** A call of which only matters whether it did what it should. */
export async function callOk(method: string, path: string, body: unknown): Promise<boolean> {
  try {
    await callJson(fetching, method, path, body);
    return true;
  } catch (error) {
    if (error instanceof CallFailed) return false;
    throw error;
  }
}
