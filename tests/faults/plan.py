"""What happens in one run, drawn from its seed: who writes what when, and what goes wrong."""

from __future__ import annotations

import random
import uuid
from dataclasses import dataclass, field
from typing import Any

RUN_S = 3.0
HOUR_MS = 3_600_000
CLOCK_JUMPS_MS = (-24 * HOUR_MS, -HOUR_MS, HOUR_MS, 73 * 365 * 24 * HOUR_MS)
MARKS = ("shaped", "ground_ready", "in_fire", "even_heat", "out_of_fire", "cold", "quenched", "out_of_bath")
MINUTE_MS = 60_000
HARD = (("piece_made", 20), ("hardening_fire", 19), ("quenched", 11), ("out_of_bath", 10.8), ("stiff", 10))
IN_OVEN = ("in_oven", 3)  # each with the minutes it lies back: of a hard blade one reminder is due
PUSH_FATES = ("taken", "taken", "gone", "lost", "silent")
FULL_BYTES = 900_000  # a phone's disk, nearly full: room for the text and hardly a picture


@dataclass(frozen=True)
class Event:
    """One thing that happens."""

    at_s: float
    do: str
    phone: int = 0
    more: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Plan:
    """One run."""

    seed: int
    phones: int
    log_ids: list[str]
    badness: list[float]
    events: list[Event]
    labels: frozenset[str]
    refused: frozenset[str]
    hard_log: str
    oven_log: str
    push_fates: list[str]

    def times(self, *names: str) -> int:
        """Return how often such things happen."""
        return sum(event.do in names for event in self.events)


class _Drawing:
    """A plan that is being drawn."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)  # noqa: S311 - the same seed, the same plan
        self.seed = seed
        self.phones = self.chance.choice([2, 2, 3])
        self.log_ids = [str(uuid.UUID(int=self.chance.getrandbits(128))) for _ in range(3)]
        self.events: list[Event] = []
        self.labels: list[str] = []
        self.refused: list[str] = []

    def when(self, low: float = 0.0, high: float = RUN_S) -> float:
        return self.chance.uniform(low, high)

    def happens(self, probability: float) -> bool:
        return self.chance.random() < probability

    def add(self, do: str, at_s: float, phone: int = 0, **more: Any) -> None:
        self.events.append(Event(at_s=at_s, do=do, phone=phone, more=more))

    def label(self, phone: int) -> str:
        self.labels.append(f"{self.seed}-{phone}-{len(self.labels)}")
        return self.labels[-1]

    def entry(self, phone: int) -> dict[str, Any]:
        log_id = self.chance.choice(self.log_ids)
        text = {"text": self.label(phone)}
        if self.happens(0.5):
            return {"log_id": log_id, "kind": "note", "body": text}
        return {"log_id": log_id, "kind": "mark", "body": {**text, "mark": self.chance.choice(MARKS)}}

    def writes_of(self, phone: int) -> None:
        for _ in range(self.chance.randint(12, 25)):
            together = 2 if self.happens(0.15) else 1
            self.add("write", self.when(), phone, entries=[self.entry(phone) for _ in range(together)])
        for _ in range(self.chance.randint(1, 3)):
            body = {"text": self.label(phone)}
            picture = self.chance.randrange(1_000)
            self.add(
                "photo",
                self.when(),
                phone,
                body=body,
                picture=picture,
                log_id=self.chance.choice(self.log_ids),
            )
        if self.happens(0.3):
            bad = {"log_id": self.log_ids[0], "kind": "No Such Kind", "body": {"text": self.label(phone)}}
            self.refused.append(bad["body"]["text"])
            self.add("write", self.when(), phone, entries=[bad])

    def troubles_of(self, phone: int) -> None:
        for _ in range(self.chance.choice([0, 0, 1, 2])):
            at_s = self.when(0.3)
            self.add("kill_phone", at_s, phone)
            self.add("start_phone", at_s + self.when(0.0, 0.5), phone)
        for _ in range(self.chance.choice([0, 1, 2])):
            at_s = self.when()
            self.add("link_down", at_s, phone)
            self.add("link_up", at_s + self.when(0.1, 1.2), phone)
        self.page_troubles_of(phone)

    def page_troubles_of(self, phone: int) -> None:
        if self.happens(0.4):
            self.add("freeze", at_s := self.when(), phone)
            self.add("thaw", at_s + self.when(0.1, 0.8), phone)
        if self.happens(0.5):
            self.add("tell", self.when(0.0, 1.0), phone, wish="open_tab")
            for _ in range(3):
                self.add("tell", self.when(1.0), phone, wish="ask_now")
            if self.happens(0.5):
                self.add("tell", self.when(1.5), phone, wish="close_tab")
        if self.happens(0.4):
            self.add("tell", self.when(), phone, wish="clock", by_ms=self.chance.choice(CLOCK_JUMPS_MS))
        if self.happens(0.3):
            self.add("tell", at_s := self.when(0.0, 2.0), phone, wish="limit", bytes=FULL_BYTES)
            self.add("tell", at_s + self.when(0.5, 1.5), phone, wish="limit", bytes=None)

    def troubles_of_the_server(self) -> None:
        for _ in range(self.chance.randint(1, 4)):
            self.add(self.chance.choice(["kill_worker", "kill_worker", "kill_sender"]), self.when())
        for _ in range(self.chance.randint(0, 2)):
            self.add("pause", self.when(), more_s=self.when(0.1, 0.8), whole=self.happens(0.3))
        if self.happens(0.25):
            self.add("erase", self.when(1.0))
        if self.happens(0.3):
            self.add("back_up", self.when(0.6, 1.6))
            self.add("set_back", self.when(1.9, 2.7))
        elif self.happens(0.2):
            self.add("kill_server", self.when(0.5, 2.5))

    def blades_to_be_reminded_of(self) -> list[str]:
        """A hard blade of which a reminder is due, and one of which none is: it was in the oven by then."""
        self.chance = random.Random(f"{self.seed} reminders")  # noqa: S311 - what a seed drew before stays
        logs = [str(uuid.UUID(int=self.chance.getrandbits(128))) for _ in range(2)]
        phones = [self.chance.randrange(self.phones) for _ in range(2)]
        self.add("write", self.when(0.1, 1.5), phones[0], entries=self.marks(phones[0], logs[0], HARD))
        oven = self.marks(phones[1], logs[1], (IN_OVEN, *HARD))
        at_s = self.when(0.1, 1.5)
        for place, one in enumerate(oven):  # the oven's mark first: the blade is never seen hard without it
            self.add("write", at_s + 0.05 * place, phones[1], entries=[one])
        return logs

    def marks(self, phone: int, log_id: str, marks: tuple[tuple[str, float], ...]) -> list[dict[str, Any]]:
        entries = []
        for name, minutes in marks:
            text = {"text": self.label(phone)}
            made = name == "piece_made"
            body = {**text, "tag": "QF-1"} if made else {**text, "mark": name, "purpose": "temper"}
            kind = "piece_made" if made else "mark"
            ago_ms = round(minutes * MINUTE_MS)
            entries.append({"log_id": log_id, "kind": kind, "body": body, "ago_ms": ago_ms})
        return entries

    def plan(self) -> Plan:
        for phone in range(self.phones):
            self.writes_of(phone)
            self.troubles_of(phone)
        self.troubles_of_the_server()
        badness = [self.chance.choice([0.2, 0.4, 0.6, 0.8]) for _ in range(self.phones)]
        hard_log, oven_log = self.blades_to_be_reminded_of()
        return Plan(
            seed=self.seed,
            phones=self.phones,
            log_ids=self.log_ids,
            badness=badness,
            events=sorted(self.events, key=lambda event: event.at_s),
            labels=frozenset(self.labels),
            refused=frozenset(self.refused),
            hard_log=hard_log,
            oven_log=oven_log,
            push_fates=["taken", *(self.chance.choice(PUSH_FATES) for _ in range(self.phones))],
        )


def drawn(seed: int) -> Plan:
    """Return the plan of a seed; the same seed gives the same plan."""
    return _Drawing(seed).plan()
