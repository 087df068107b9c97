import { signal } from "@preact/signals";
import type { Note, PeopleState } from "../engine/types.ts";

/** The wall clock, once a second while the page is seen. Durations are differences of instants, never counted ticks. */
export const nowMs = signal(Date.now());

/** FIRE, CO or HURT: opens in one action from anywhere and silences everything else. */
export const people = signal<PeopleFirst | null>(null);

export interface PeopleFirst {
  readonly kind: PeopleState;
  readonly since_ms: number;
  /** The blades left where they were, each of which the all-clear gives back. */
  readonly left?: readonly string[];
}

/** The last mark whose transaction completed: acknowledged before the fold answers. */
export const kept = signal<{ readonly entry_id: string; readonly log_id: string; readonly at_ms: number } | null>(null);

/** Something the person must be told; the words come from the words table. */
export interface Notice {
  readonly id: string;
  readonly note: Note;
  readonly kind: "info" | "warning" | "not_kept";
}

export const notices = signal<readonly Notice[]>([]);

/** Show a notice; one of the same id is replaced. */
export function tell(notice: Notice): void {
  notices.value = [...notices.value.filter((other) => other.id !== notice.id), notice];
}

export function dismiss(id: string): void {
  notices.value = notices.value.filter((notice) => notice.id !== id);
}

/** The person was away (page hidden, phone off) longer than two minutes; null once looked at. */
export const away = signal<{ readonly from_ms: number; readonly to_ms: number } | null>(null);

export interface Health {
  /** The browser's answer to the wish to keep the store; null: it could not be asked. */
  readonly persisted: boolean | null;
  /** Plain http: no service worker, so nothing works offline. */
  readonly secure: boolean;
  /** The phone's clock is behind this phone's newest entry by so much; null: it is not. */
  readonly clock_back_ms: number | null;
  /** 0 to 1, where the phone tells. */
  readonly battery: number | null;
  readonly charging: boolean;
}

export const health = signal<Health>({
  persisted: null,
  secure: true,
  clock_back_ms: null,
  battery: null,
  charging: true,
});

/** A new version waits; it is taken by one tap, only when no heat, quench or unsaved pad is open. */
export const update = signal<{ readonly waiting: boolean; readonly version: string }>({
  waiting: false,
  version: "",
});

/** Screens with something typed and not yet kept, by draft key. */
export const unsaved = signal<ReadonlySet<string>>(new Set());
