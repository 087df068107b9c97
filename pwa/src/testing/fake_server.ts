import type { Entry } from "../engine/types.ts";
import type { Fetch, SyncRequest } from "../sync/transport.ts";

interface Row extends Entry {
  readonly seq: number;
  readonly received_ms: number;
}

export type Fault = "none" | "lost_answer" | "no_link" | "portal" | "trouble" | "signed_out" | "too_old" | "hangs";

/** A server in memory that speaks the protocol, and can be broken in every way that a shop's link breaks. */
export class FakeServer {
  epoch = "epoch-1";
  /** The shop that this browser's cookie, or the next code, is of. */
  shop_id = "shop-1";
  /** Does the browser hold a cookie that is good? */
  signed_in = true;
  rows: Row[] = [];
  readonly refuse = new Map<string, string>();
  readonly photos = new Map<string, { bytes: Uint8Array; length: number }>();
  readonly calls: string[] = [];
  /** Faults of the next calls, in order; then none. */
  faults: Fault[] = [];
  /** Called before a photo part is taken: to write text in between, or to cut the link. */
  on_part: () => void | Promise<void> = () => undefined;
  page = 500;
  largest_call_bytes = Number.POSITIVE_INFINITY;

  readonly fetching: Fetch = async (path, init = {}) => {
    this.calls.push(`${init.method ?? "GET"} ${path}`);
    const fault = this.faults.shift() ?? "none";
    const early = early_answer(fault, this.epoch, init.signal);
    if (early) return early();
    const reply = await this.#answer(path, init);
    if (fault === "lost_answer") throw new TypeError("network changed");
    return reply;
  };

  async #answer(path: string, init: RequestInit): Promise<Response> {
    if (path === "/api/join" || path === "/api/claim") return this.#join(await bodyText(init));
    if (!this.signed_in) return this.reply(401, { message: "not_signed_in" });
    if (path === "/api/me") return this.#who(200);
    if (path === "/api/erase") return this.#erase(String(init.body));
    if (path === "/api/sync") return this.#sync(await bodyText(init));
    const [, sha256] = /^\/api\/photos\/([^?]+)/.exec(path) ?? [];
    return sha256 ? this.#photo(sha256, init) : this.reply(404, {});
  }

  #join(text: string): Response {
    const { code, shop_id } = JSON.parse(text) as { code: string; shop_id?: string };
    if (code === "WRONG234") return this.reply(403, { message: "bad_code" });
    if (shop_id && shop_id !== this.shop_id) return this.reply(409, { message: "other_shop" });
    this.signed_in = true;
    return this.#who(201);
  }

  #erase(text: string): Response {
    const { id } = JSON.parse(text) as { id: string };
    const row = this.rows.find((one) => one.id === id || one.body.sha256 === id);
    if (!row) return this.reply(404, { message: "not_here" });
    const seq = 1 + (this.rows.at(-1)?.seq ?? 0);
    this.rows = [...this.rows.filter((one) => one !== row), { ...row, body: { erased: true }, seq }];
    return this.reply(200, { entries: 1 });
  }

  #who(status: number): Response {
    const who = { role: "smith", shop_id: this.shop_id, shop_name: "Quillfen Forge", zone: "Europe/London" };
    return this.reply(status, who);
  }

  reply(status: number, payload: unknown, headers: Record<string, string> = {}): Response {
    const body = status === 204 || payload === null ? null : JSON.stringify(payload);
    return new Response(body, {
      status,
      headers: { "Content-Type": "application/json", "Temperward-Epoch": this.epoch, ...headers },
    });
  }

  #sync(text: string): Response {
    if (text.length > this.largest_call_bytes) return this.reply(413, { message: "too_big" });
    const request = JSON.parse(text) as SyncRequest;
    if (request.shop_id && request.shop_id !== this.shop_id) return this.reply(401, { message: "not_signed_in" });
    const results = request.entries.map((entry) => this.#take(entry));
    const since = request.epoch === null || request.epoch === this.epoch ? request.since : 0;
    const taken = new Set(results.filter(({ status }) => status !== "refused").map(({ id }) => id));
    const fresh = this.rows.filter((row) => row.seq > since);
    const rows = fresh.slice(0, this.page);
    return this.reply(200, {
      epoch: this.epoch,
      now_ms: 5_000_000,
      results,
      rows: rows.filter((row) => !taken.has(row.id)),
      next_since: rows.at(-1)?.seq ?? since,
      more: fresh.length > rows.length,
    });
  }

  #take(entry: Entry): { id: string; status: string; reason?: string } {
    const reason = this.refuse.get(entry.id);
    if (reason) return { id: entry.id, status: "refused", reason };
    if (this.rows.some((row) => row.id === entry.id)) return { id: entry.id, status: "had" };
    // Holes in the numbers are normal.
    this.rows.push({ ...entry, seq: 3 + (this.rows.at(-1)?.seq ?? 0), received_ms: 5_000_000 });
    return { id: entry.id, status: "stored" };
  }

  async #photo(sha256: string, init: RequestInit): Promise<Response> {
    const held = this.photos.get(sha256);
    if (init.method === "PUT") return this.#part(sha256, init);
    if (!held) return this.reply(404, {});
    const whole = held.bytes.length === held.length;
    const headers = { "Upload-Offset": String(held.bytes.length), "Upload-Complete": whole ? "?1" : "?0" };
    if (init.method === "HEAD") return this.reply(200, null, headers);
    return new Response(held.bytes.slice(), {
      headers: { "Temperward-Epoch": this.epoch, "Content-Type": "image/jpeg" },
    });
  }

  async #part(sha256: string, init: RequestInit): Promise<Response> {
    await this.on_part();
    const reason = this.refuse.get(sha256);
    if (reason) return this.reply(422, { message: reason });
    const headers = new Headers(init.headers);
    const held = this.photos.get(sha256)?.bytes ?? new Uint8Array();
    const at = { "Upload-Offset": String(held.length) };
    if (Number(headers.get("Upload-Offset")) !== held.length) return this.reply(409, { message: "offset" }, at);
    const part = new Uint8Array(init.body as ArrayBuffer);
    const bytes = new Uint8Array([...held, ...part]);
    const length = Number(headers.get("Upload-Length"));
    this.photos.set(sha256, { bytes, length });
    return this.reply(bytes.length === length ? 201 : 200, {}, { "Upload-Offset": String(bytes.length) });
  }
}

function early_answer(
  fault: Fault,
  epoch: string,
  signal: AbortSignal | null | undefined,
): (() => Promise<Response>) | null {
  const ours = (status: number) => () =>
    Promise.resolve(new Response("{}", { status, headers: { "Temperward-Epoch": epoch } }));
  switch (fault) {
    case "no_link":
      return () => Promise.reject(new TypeError("failed to fetch"));
    case "portal":
      return () => Promise.resolve(new Response("<html>Please sign in to this network</html>"));
    case "hangs":
      // Nobody answers, ever: only whoever asked can put an end to it.
      return () => new Promise((_never, reject) => signal?.addEventListener("abort", () => reject(signal.reason)));
    case "trouble":
      return ours(500);
    case "signed_out":
      return ours(401);
    case "too_old":
      return ours(426);
    default:
      return null;
  }
}

async function bodyText(init: RequestInit): Promise<string> {
  if (typeof init.body === "string") return init.body;
  const packed = new Blob([init.body as ArrayBuffer]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(packed).text();
}
