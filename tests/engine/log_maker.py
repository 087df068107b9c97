"""Makes the entries of one log conveniently, as a phone would: each later than the one before."""

from __future__ import annotations

from typing import Any

from temperward.engine import api

START_MS = 1_792_872_000_000  # a Saturday evening in October 2026
MINUTE_S = 60
PIECE = "01900000-0000-7000-8000-0000000000aa"

Body = dict[str, Any]


def plain_card(**limits: Any) -> Body:
    """A card with the numbers of a long 1075 blade in fast oil, enough to fold a log by."""
    numbers: Body = {
        "bow_limit_pct": 0.10,
        "finished_bow_limit_pct": 0.05,
        "edge_need_mm": 0.9,
        "bath_low_c": 35,
        "bath_high_c": 65,
        "flash_c": 190,
        "oven_set_c": 205,
        "oven_tolerance_k": 10,
        "cycles": 3,
        "tempers": 2,
        "hold_s": 15,
        "soak_s": 120,
        "soak_cycle_s": [180, 120, 120],
        "temper_hold_s": [7200, 7200],
        "temper_c": [205, 205],
        "brittle": {"reminder_s": 600, "hurry_s": 1800, "alarm_s": 3600, "halved_by": []},
        "window": {"bend_s": 46, "stiffening_s": 32, "gentle_s": 75, "nominal_from": "lift"},
        "hand_warm_s": 900,
        "cycle_cooling_s": 1020,
        "file_must_not_cut_hrc": 62,
        "air_hardens": False,
        "harden_proven": True,
        "readiness_s": 1800,
        "oven_reading_s": 600,
    }
    numbers.update(limits)
    facts = {
        "steel": "1075",
        "thickness_mm": 4.2,
        "length_mm": 440,
        "quench": [{"medium": "fast_oil"}],
        "target_hrc": 59,
    }
    return {"card_version": 1, "facts": facts, "limits": numbers, "steps": [], "flags": []}


class Log:
    """One piece's log, written by one phone unless told otherwise."""

    def __init__(self, *, card: Body | None = None, log_id: str = PIECE, start_ms: int = START_MS) -> None:
        self.log_id = log_id
        self.now_ms = start_ms
        self.entries: list[Body] = []
        self.lamport = 0
        if card is not None:
            self.add("piece_made", {"tag": "QF-102", "name": "long single-edge"})
            self.add("card_made", {"card": card})

    def wait(self, seconds: float) -> Log:
        """Let time pass."""
        self.now_ms += int(seconds * 1000)
        return self

    def add(
        self,
        kind: str,
        body: Body,
        *,
        ago_s: float = 0,
        at_source: str | None = None,
        device: str = "phone-a",
        version: int = 1,
        plus_minus_s: float = 0,
    ) -> str:
        """Write one entry now, or say that it happened a while ago; return its id."""
        self.lamport += 1
        entry_id = f"01900000-0000-7000-8000-{self.lamport:012d}"
        self.entries.append(
            {
                "id": entry_id,
                "log_kind": "piece",
                "log_id": self.log_id,
                "kind": kind,
                "version": version,
                "body": body,
                "lamport": self.lamport,
                "happened_ms": self.now_ms - int(ago_s * 1000),
                "written_ms": self.now_ms,
                "plus_minus_s": plus_minus_s,
                "utc_offset_min": 60,
                "zone": "Europe/Dublin",
                "at_source": at_source or ("back_dated" if ago_s else "live"),
                "device_id": device,
                "member_id": "member-mo",
                "initials": "MO",
                "engine_version": "0.1.0",
            }
        )
        return entry_id

    def mark(self, mark: str, *, after_s: float = 0, **rest: Any) -> str:
        """Wait, then make a mark; `body` adds to it."""
        self.wait(after_s)
        body = {"mark": mark, **rest.pop("body", {})}
        return self.add("mark", body, **rest)

    def check(self, check: str, body: Body, *, after_s: float = 0, **rest: Any) -> str:
        """Wait, then enter a reading."""
        self.wait(after_s)
        return self.add("check", {"check": check, **body}, **rest)

    def finding(self, finding: str, *, after_s: float = 0, **rest: Any) -> str:
        """Wait, then say that something went wrong."""
        self.wait(after_s)
        return self.add("finding", {"finding": finding}, **rest)

    def bow(self, bow_mm: float, *, after_s: float = 60, **rest: Any) -> str:
        """Wait, then enter a bow over 420 mm."""
        return self.check("bow", {"bow_mm": bow_mm, "length_mm": 420}, after_s=after_s, **rest)

    def cycle(self, bow_mm: float | None) -> Log:
        """Run one whole cycle and measure the bow after it."""
        self.mark("in_fire", after_s=60)
        self.mark("even_heat", after_s=300)
        self.mark("out_of_fire", after_s=200)
        self.mark("cold", after_s=1100)
        if bow_mm is not None:
            self.bow(bow_mm)
        return self

    def ground(self) -> Log:
        """Come as far as ground ready with its checks."""
        self.mark("shaped", after_s=60)
        self.check("edge_thickness", {"readings_mm": [1.0, 1.0, 1.0]}, after_s=60)
        self.bow(0.15)
        self.mark("ground_ready", after_s=60)
        return self

    def get_ready(self) -> Log:
        """Tick everything that ready to harden asks for."""
        self.mark("ready", after_s=60)
        ticks = {"covers_blade": True, "lid": True, "extinguisher": True, "path": True, "tipping": True}
        self.check("bath_ready", ticks, after_s=20)
        self.check("bath_temperature", {"temperature_c": 54}, after_s=20)
        self.check("oven_temperature", {"temperature_c": 204}, after_s=20)
        return self

    def harden(self) -> Log:
        """From ready through the hardening heat into the bath."""
        self.mark("hardening_fire", after_s=60)
        self.check("magnet", {"answer": "none", "rising": True}, after_s=300)
        self.check("colour", {"even": True}, after_s=30)
        self.mark("going_to_quench", after_s=125)
        self.mark("quenched", after_s=3)
        return self

    def to_hard(self, **limits: Any) -> Log:
        """A whole way to just after the quench, straight all along."""
        if not self.entries:
            self.add("piece_made", {"tag": "QF-107"})
            self.add("card_made", {"card": plain_card(**limits)})
        self.ground()
        for _ in range(3):
            self.cycle(0.15)
        return self.get_ready().harden()

    def to_hand_warm(self) -> Log:
        """A whole way to hard and hand-warm."""
        self.to_hard()
        self.mark("out_of_bath", after_s=15)
        self.mark("hand_warm", after_s=1185)
        return self

    def temper(self, *, read_c: float = 205, hold_s: float = 7260) -> Log:
        """In, read at heat, hold, out, cold."""
        self.mark("in_oven", body={"purpose": "temper"}, after_s=60)
        self.check("oven_temperature", {"temperature_c": read_c}, after_s=600)
        self.mark("out_of_oven", after_s=hold_s)
        self.mark("cold_after_temper", after_s=1300)
        return self

    def facts(self, *, now_ms: int | None = None, **rest: Any) -> Body:
        """The question's facts."""
        now = self.now_ms if now_ms is None else now_ms
        return {"log_kind": "piece", "log_id": self.log_id, "entries": self.entries, "now_ms": now, **rest}

    def fold(self, *, after_s: float = 0, **rest: Any) -> Body:
        """The folded state a while after the last entry, without letting that time pass for the log."""
        answer = api.ask("fold", self.facts(now_ms=self.now_ms + int(after_s * 1000), **rest))
        assert "error" not in answer, answer
        return dict(answer["answer"])
