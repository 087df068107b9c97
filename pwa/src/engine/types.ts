/** Shapes of what the engine takes and gives. The engine speaks in keys: a `Note` becomes a sentence only on a screen. */

export type FactValue = string | number | boolean | null | Note | readonly FactValue[];

export interface Note {
  readonly key: string;
  readonly facts?: Readonly<Record<string, FactValue>>;
}

export type LogKind = "piece" | "bar" | "bath" | "oven" | "instrument" | "coupon" | "member" | "shop" | "customer";

export type AtSource = "live" | "back_dated" | "estimated";

export type Body = Readonly<Record<string, unknown>>;

/** One line of a log: made on a device, never edited. */
export interface Entry {
  readonly id: string;
  readonly log_kind: LogKind;
  readonly log_id: string;
  readonly kind: string;
  readonly version: number;
  readonly body: Body;
  readonly lamport: number;
  readonly happened_ms: number;
  readonly written_ms: number;
  readonly plus_minus_s: number;
  readonly utc_offset_min: number;
  readonly zone: string;
  readonly at_source: AtSource;
  readonly device_id: string;
  readonly member_id: string;
  readonly initials: string;
  readonly engine_version: string;
  readonly group_id?: string;
  /** By how much the server's clock was ahead of this phone's at the last contact; its times stay as they were said. */
  readonly skew_ms?: number;
  /** Given by the server; absent while the entry is only on this phone. */
  readonly seq?: number;
  readonly received_ms?: number;
}

/** A computed value: low and high hold nine of ten published measurements of its family. */
export interface Banded {
  readonly value: number;
  readonly unit: string;
  readonly low: number;
  readonly high: number;
  readonly coverage: number;
  readonly sources: readonly string[];
  readonly notes: readonly Note[];
}

export interface Refusal {
  readonly field: string;
  readonly value: unknown;
  readonly low?: number | null;
  readonly high?: number | null;
  readonly unit?: string | null;
  readonly reason: string;
  readonly choices?: readonly string[] | null;
}

export type Shape = "octagon" | "triangle" | "circle" | "square";
export type ScreenId = "step" | "quench" | "straighten" | "brittle" | "temper" | "gate" | "sitting";
export type PeopleState = "fire" | "co" | "hurt";
export type StageId = "reminder" | "hurry" | "alarm";

export interface Action {
  readonly do: "mark" | "check" | "open" | "override" | "choice" | "finding" | "card_made" | "same_as" | "none";
  readonly mark?: string;
  readonly check?: string;
  readonly screen?: string;
  readonly finding?: string;
  readonly choice?: string;
  readonly gate?: string;
  readonly items?: readonly string[];
  /** The fewest letters of a reason. */
  readonly least?: number;
  readonly body?: Body;
  /** Other logs that the same is said in. */
  readonly also?: readonly string[];
  /** It may have been done already: at any time since then, and which end of that time to claim. */
  readonly between?: { readonly from_ms: number; readonly claims: "first" | "last" };
  readonly label: Note;
  readonly hold: boolean;
  readonly kind: "go" | "wait" | "stop" | "plain";
}

export interface GateItem {
  readonly id: string;
  readonly text: Note;
  readonly passed: boolean | null;
  readonly hard: boolean;
  readonly overridable: boolean;
  readonly value: Note | null;
  readonly expires_ms: number | null;
  readonly check?: Action;
  readonly overridden: { readonly entry_id: string; readonly reason: string; readonly initials: string } | null;
}

export interface Gate {
  readonly id: "ready_for_heat" | "ready_to_harden" | "quench_go" | "temper_done" | "release" | "reharden";
  readonly open: boolean;
  readonly items: readonly GateItem[];
}

export interface Stage {
  readonly stage: StageId;
  readonly due_ms: number;
  readonly text: Note;
  readonly useful_s: number;
  /** More than a reminder that something else follows. */
  readonly presses?: boolean;
}

export type ClockKind =
  | "brittle"
  | "snap"
  | "soak"
  | "cooling"
  | "temper_hold"
  | "readiness"
  | "window"
  | "hold"
  | "no_reading"
  | "put_aside";

export interface Clock {
  readonly id: string;
  readonly kind: ClockKind;
  readonly from_ms: number;
  readonly due_ms: number | null;
  readonly paused: boolean;
  readonly stages: readonly Stage[];
  readonly text: Note;
}

export interface BigNumber {
  readonly kind: "elapsed" | "countdown" | "temperature" | "count" | "none";
  readonly from_ms?: number;
  readonly until_ms?: number;
  readonly value?: number;
  readonly unit?: string;
  readonly caption: Note;
  /** The letter or tag of the blade that this is about, where several are on the screen. */
  readonly whose?: string;
}

export interface BowReading {
  readonly entry_id: string;
  readonly after: Note;
  readonly cycle: number | null;
  readonly bow_mm: number;
  readonly at_mm?: number | null;
  readonly length_mm: number;
  readonly limit_mm: number;
  readonly side?: "left" | "right" | null;
  readonly stations?: readonly { readonly at_mm: number; readonly gap_mm?: number; readonly bow_mm?: number }[];
}

/** The folded state of one blade's log: everything a working screen shows. */
export interface FoldAnswer {
  readonly log_id: string;
  readonly count: number;
  readonly last_id: string | null;
  readonly tag: string;
  readonly name: string | null;
  readonly batch?: string | null;
  readonly letter?: string | null;
  readonly state: {
    readonly id: string;
    readonly cycle: number | null;
    readonly temper: number | null;
    readonly since_ms: number;
  };
  readonly screen: ScreenId;
  readonly shape: Shape;
  readonly word: Note;
  readonly hazards: readonly string[];
  readonly hazard_line: Note | null;
  readonly sentence: Note;
  readonly caution: Note | null;
  readonly why: Note | null;
  /** The set point of this moment, where there is one. */
  readonly set?: Note | null;
  readonly number: BigNumber;
  readonly next: Action | null;
  readonly offers: readonly Action[];
  readonly more: readonly Action[];
  readonly gates: readonly Gate[];
  readonly clocks: readonly Clock[];
  readonly window: {
    readonly open_ms: number;
    readonly stiffening_ms: number;
    readonly bend_until_ms: number;
    readonly gentle_until_ms: number;
    readonly early_ms: number;
    readonly late_ms: number;
  } | null;
  readonly findings: readonly {
    readonly id: string;
    readonly entry_id: string | null;
    readonly open: boolean;
    readonly facts: Readonly<Record<string, FactValue>>;
  }[];
  readonly flags: readonly {
    readonly id: string;
    readonly facts: Readonly<Record<string, FactValue>>;
    readonly text: Note;
    readonly shape: Shape;
    /** What has to be looked at for it, side by side. */
    readonly entry_ids?: readonly string[];
  }[];
  readonly people: PeopleState | null;
  readonly bows: readonly BowReading[];
  readonly trend: Readonly<Record<string, unknown>> | null;
  readonly conflicts: readonly { readonly check: string; readonly entry_ids: readonly string[] }[];
  /** Entries of which somebody may say that this one counts. */
  readonly disputed?: readonly string[];
  readonly overrides: readonly string[];
  readonly corrected: readonly { readonly entry_id: string; readonly by: string }[];
  readonly withdrawn: readonly string[];
  readonly unread: readonly string[];
  readonly undo: { readonly entry_id: string; readonly until_ms: number; readonly device_id?: string } | null;
  /** `danger` is the rank of what is asked, 0 the worst. */
  readonly catch_up: readonly { readonly danger: number; readonly text: Note; readonly answers: readonly Action[] }[];
  readonly danger: number;
  /** `hands`: in the fire, the bath or the window; `watched`: hard or in the oven. The screen stays lit for both. */
  readonly at_work?: "hands" | "watched" | null;
  /** The card that the log goes by. */
  readonly card_id?: string | null;
  readonly same_as?: readonly string[];
  readonly step: string | null;
  readonly cycles_done: number;
  readonly cycles_planned: number;
  readonly facts: Readonly<Record<string, unknown>>;
  /** What the question `batch` takes of this blade; null before ready to harden and after the oven. */
  readonly lot?: Body | null;
  readonly changes_at_ms: readonly number[];
}

/** Several blades, one bath, one oven. */
export interface BatchAnswer extends Pick<FoldAnswer, "shape" | "word" | "sentence" | "number"> {
  readonly order: readonly string[];
  readonly tiles: readonly {
    readonly log_id: string;
    readonly name: string;
    readonly shape: Shape;
    readonly text: Note;
    readonly from_ms: number | null;
  }[];
  /** Open this blade, or put these into the oven together. */
  readonly next: { readonly label: Note; readonly open: string | null; readonly load: readonly string[] };
  readonly oven: { readonly advice: Note; readonly load_ms: number; readonly slack_s: number | null } | null;
  readonly baths: readonly {
    readonly name: string;
    readonly now_c: number | null;
    readonly left: number;
    readonly steps: readonly {
      readonly log_id: string;
      readonly name: string;
      readonly before_c: number | null;
      readonly after_c: number | null;
      readonly verdict: string;
    }[];
    readonly picture: Picture | null;
  }[];
}

/** The folded facts of any log that is not a blade's. */
export interface ThingFold {
  readonly log_id: string;
  readonly kind: string;
  readonly name: string | null;
  readonly facts: Readonly<Record<string, unknown>>;
  readonly last: readonly Readonly<Record<string, unknown>>[];
}

export interface SetPoint {
  readonly id: string;
  readonly label: Note;
  readonly value: number | string | Note | null;
  readonly unit: string | null;
  readonly minus: number | null;
  readonly plus: number | null;
  readonly kind: "value" | "interval" | "text";
  readonly sources: readonly string[];
  readonly notes: readonly Note[];
}

/** What a paper asks for, by path in the facts. The engine judges the values. */
export type PlanField = readonly [
  kind: "number" | "yesno" | "chips" | "text" | "date",
  path: string,
  choices?: readonly string[],
];

/** A question for what only the smith knows: the engine answers it in a sentence. */
export interface Asks {
  readonly question: string;
  readonly fields: readonly PlanField[];
}

export interface CardStep {
  readonly n: number;
  readonly id: string;
  readonly kind: string;
  readonly cycle?: number;
  readonly temper?: number;
  readonly states: readonly string[];
  readonly title: Note;
  readonly set_points: readonly SetPoint[];
  readonly checks: readonly { readonly check: string; readonly text: Note }[];
  readonly hazards: readonly string[];
  readonly cautions: readonly Note[];
  readonly why: Note;
  readonly follow_ups: readonly Note[];
  readonly asks?: Asks;
}

/** The plan of one blade, frozen into its log. */
export interface Card {
  readonly card_version: number;
  readonly facts: Readonly<Record<string, unknown>>;
  readonly steel: Readonly<Record<string, unknown>>;
  readonly dissolved_carbon_pct: Banded;
  readonly numbers: readonly ({ readonly id: string; readonly label: Note } & Banded)[];
  readonly verdict: Note;
  readonly verdict_notes: readonly Note[];
  readonly flags: readonly string[];
  readonly warnings: readonly Note[];
  readonly steps: readonly CardStep[];
  readonly limits: Readonly<Record<string, unknown>>;
}

interface Drawn {
  readonly id: string;
  readonly title: Note;
  readonly notes: readonly Note[];
  readonly sources: readonly string[];
}

type Tick = readonly [at: number, value: number];

/** Lines in a unit square, x to the right and y up, with what stands at its edges. */
export interface Picture extends Drawn {
  readonly lines: readonly {
    readonly kind: string;
    readonly points: readonly Tick[];
    readonly label: Note | null;
    readonly at: Tick;
  }[];
  readonly x: readonly Tick[];
  readonly x_unit: string;
  readonly y: readonly Tick[];
  readonly y_unit: string;
  /** The same as text, where no other table stands below. */
  readonly table?: Table;
}

export interface Table {
  readonly columns: readonly { readonly label: Note; readonly unit: string }[];
  readonly rows: readonly { readonly cells: readonly (number | Note | null)[]; readonly over: boolean }[];
}

export interface PlanTable extends Drawn, Table {}

/** What a plan looks like beside its numbers. */
export interface CardPictures {
  readonly pictures: readonly Picture[];
  readonly tables: readonly PlanTable[];
}

/** What a newer engine would make of a kept card: what moved; nothing where it could disturb. */
export interface CardOffer extends CardPictures {
  readonly log_id: string;
  readonly text: Note | null;
  /** The same where one goes to the card from; none once it was left. */
  readonly line: Note | null;
  /** Take the new card, or leave the kept one as it is. */
  readonly actions: readonly Action[];
  readonly refusal: Refusal | null;
}

/** What the log of one blade looks like. */
export interface LogPictures {
  readonly log_id: string;
  readonly tempers: CardPictures;
  readonly bows: CardPictures;
  /** The newest, and the one to lay beside it. */
  readonly fractures: readonly {
    readonly sha256: string;
    readonly happened_ms: number;
    readonly title: Note;
    readonly verdict: Note;
  }[];
  /** What each file says of hardness: a band, never a figure. */
  readonly files?: readonly { readonly entry_id: string; readonly text: Note }[];
}

/** One of the cards of "What now?". */
export interface FindingCard {
  readonly id: string;
  readonly title: Note;
  readonly do_now: Note;
  readonly do_not: Note;
  readonly then: Note;
  readonly where: readonly string[];
  readonly people: PeopleState | null;
  readonly asks: Asks | null;
}
