"""What is known of one blade while its log is read in shop order."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine.process.frozen_limits import Limits

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

BRITTLE_STATES = ["in_quench", "warm_window", "hard", "snap_tempered"]
UNTEMPERED_STATES = ["in_quench", "warm_window", "hard"]
OVEN_STATES = ["temper_in_heat", "straightening_in_temper"]
COLD_SOFT_STATES = [
    "planned",
    "shaped",
    "ground_ready",
    "cycle_checked",
    "ready_to_harden",
    "straightening_soft",
]


class Heat:
    """One stay in the fire."""

    def __init__(self, entry: Entry) -> None:
        """Begin it at the mark."""
        self.entry_id: str = entry["id"]
        self.in_ms: int = entry["happened_ms"]
        self.out_ms: int | None = None
        self.even_ms: int | None = None
        self.even_id: str = entry["id"]
        self.magnet_ms: int | None = None
        self.magnet_tries = 0
        self.first_try_ms: int | None = None
        self.going_ms: int | None = None


class Quench:
    """One hardening: from the quench mark, where the brittle clock starts."""

    def __init__(self, entry: Entry, *, at_ms: int) -> None:
        """Begin it at the mark."""
        self.entry_id: str = entry["id"]
        self.device_id: str = entry["device_id"]
        self.at_ms = at_ms
        self.by_air = False
        self.unknown = False
        self.lift_ms: int | None = None
        self.stiff_ms: int | None = None
        self.hand_warm_ms: int | None = None
        self.boiling_ms: int | None = None
        self.checked: dict[str, str] = {}


class OvenStay:
    """One stay in the oven."""

    def __init__(self, entry: Entry, *, purpose: str, number: int) -> None:
        """Begin it at the mark."""
        self.entry_id: str = entry["id"]
        self.device_id: str = entry["device_id"]
        self.in_ms: int = entry["happened_ms"]
        self.purpose = purpose
        self.number = number
        self.from_state = "hard"
        self.at_heat_ms: int | None = None
        self.readings: list[list[float]] = []  # [at_ms, temperature_c]
        self.hot = False  # read hot enough at least once
        self.cuts_ms: list[int] = []
        self.out_ms: int | None = None
        self.warm = False


class Story:
    """Everything read so far. Entries change it one by one, and time does too."""

    def __init__(self, *, chosen: dict[str, bool], related: dict[str, Any]) -> None:
        """Start with a blade of which nothing is known."""
        self.chosen = chosen
        self.related = related
        self.limits = Limits(None)
        self.made: dict[str, Any] = {}
        self.card_id: str | None = None
        self._begin_work()
        self._begin_record()

    def _begin_work(self) -> None:
        """Set down where the blade is: its state, its heats, its quench and its tempers."""
        self.state = "planned"
        self.since_ms = 0
        self.state_id: str | None = None
        self.slot = 0  # counts the moves from state to state; two readings in one slot are of one thing
        self.cycle = 0
        self.cycles_done = 0
        self.heats_done = 0
        self.filed_after = -1  # how many heats were done when a file was last tried
        self.relieved = False
        self.heat_kind = "cycle"
        self.before = "planned"
        self.owes_cycle = False
        self.heat: Heat | None = None
        self.quench: Quench | None = None
        self.stays: list[OvenStay] = []
        self.temper = 0
        self.tempers_done = 0
        self.tempers_counted = 0
        self.snap_ms: int | None = None
        self.snap_id: str | None = None
        self.tempered_once = False
        self.cold = False
        self.rehardens = 0
        self.scrap_brittle = False
        self.tang_softened = False

    def _begin_record(self) -> None:
        """Set down what was read, found and decided."""
        self.latest: dict[str, Entry] = {}
        self.latest_slot: dict[str, int] = {}
        self.bows: list[dict[str, Any]] = []
        self.runs: dict[
            int, list[dict[str, Any]]
        ] = {}  # bows from heat to heat; straightening begins a new run
        self.series = 0
        self.findings: list[dict[str, Any]] = []
        self.closed: dict[str, bool] = {}  # entries whose finding somebody dealt with
        self.people: list[dict[str, Any]] = []
        self.flare: dict[str, Any] | None = None
        self.overrides: dict[str, Entry] = {}
        self.override_ids: list[str] = []
        self.choices: dict[str, dict[str, Any]] = {}
        self.flags: list[dict[str, Any]] = []
        self.conflicts: list[dict[str, Any]] = []
        self.disputed: dict[str, bool] = {}
        self.open_question: list[str] | None = None
        self.same_as: list[str] = []
        self.named: dict[str, bool] = {}  # logs of things that entries name

    def move(self, state: str, *, at_ms: int, entry_id: str | None) -> None:
        """Go to a state."""
        self.state = state
        self.since_ms = at_ms
        self.state_id = entry_id
        self.slot += 1

    def flag(self, flag_id: str, facts: dict[str, Any]) -> None:
        """Raise a flag: something to look at, never something that refuses an entry."""
        self.flags.append({"id": flag_id, "facts": facts})

    def stay(self) -> OvenStay | None:
        """Return the stay in the oven that is running."""
        if self.stays and self.stays[-1].out_ms is None:
            return self.stays[-1]
        return None

    def harden_anew(self, quench: Quench) -> None:
        """Begin the untempered time anew: nothing done in an oven before this quench counts any more."""
        self.quench = quench
        self.stays = []
        self.tempered_once = False
        self.tempers_done = 0
        self.tempers_counted = 0
        self.temper = 0
        self.snap_ms = None
        self.cold = False
        self.open_question = None
        for check in ("crack", "file", "file_tang", "hardness", "sight"):
            self.latest.pop(check, None)

    def fact(self, check: str, name: str) -> Any:
        """Return one field of the latest reading of a check."""
        entry = self.latest.get(check)
        return None if entry is None else entry["body"].get(name)

    def thing(self, kind: str) -> dict[str, Any] | None:
        """Return the folded log of the bath, the oven or the coupon that goes with this blade.

        Of several only the one that the card or an entry names counts: another oven's reading says nothing.
        """
        given = self.related.get(kind)
        if isinstance(given, dict):
            return given
        for one in given if isinstance(given, list) else []:
            if isinstance(one, dict) and (
                one.get("log_id") in self.named or one.get("name") == self._named(kind)
            ):
                return one
        return None

    def _named(self, kind: str) -> str:
        facts = self.limits.fact(kind)
        return str(facts.get("name")) if isinstance(facts, dict) else ""

    def media(self) -> list[str]:
        """Return what the blade is to be quenched in."""
        dips = self.limits.fact("quench")
        if not isinstance(dips, list):
            return []
        return [str(dip["medium"]) for dip in dips if isinstance(dip, dict) and "medium" in dip]

    def people_kind(self) -> str | None:
        """Return what comes before everything else, fire first."""
        kinds = [one["kind"] for one in self.people]
        for kind in ("fire", "co", "hurt"):
            if kind in kinds:
                return kind
        return None
