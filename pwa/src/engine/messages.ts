/** What page and worker say to each other: text both ways, so that nothing depends on how objects are copied. */
export type WorkerCall =
  | readonly ["ask", question: string, facts_json: string]
  | readonly ["openLog", log_id: string, packed_json: string]
  | readonly ["appendEntry", log_id: string, entry_json: string]
  | readonly ["foldOpen", log_id: string, facts_json: string]
  | readonly ["foldPacked", log_id: string, packed_json: string, facts_json: string];

export interface WorkerRequest {
  readonly id: number;
  readonly call: WorkerCall;
}

export interface WorkerReply {
  readonly id: number;
  readonly ok?: string | number;
  /** What went wrong; the worker is not asked again. */
  readonly fault?: string;
}
