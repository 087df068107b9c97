"""What is known of one blade while its log is read in shop order."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine import data_files
from temperward.engine.process.frozen_limits import Limits

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

FILED = ["file_edge", "file_spine", "file_None"]  # a file says where it was tried, or nothing
LEAST_PLACES = 2  # practice: one place may be a soft spot, or a hard one
THING_NAMES = ["log_id", "name"]
BRITTLE_STATES = ["in_quench", "warm_window", "hard", "snap_tempered"]
UNTEMPERED_STATES = ["in_quench", "warm_window", "hard"]
OVEN_STATES = ["temper_in_heat", "straightening_in_temper"]


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

    def proved_soft(self) -> bool:
        """Tell whether a file bit at two places or more and skated nowhere; the tang is soft by intent."""
        answers = [self.checked[name] for name in FILED if name in self.checked]
        return "skates" not in answers and len([one for one in answers if one == "bites"]) >= LEAST_PLACES


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
        self.peak_c: float | None = None  # the highest that a swing of the oven went to
        self.cuts_ms: list[int] = []
        self.out_ms: int | None = None
        self.warm = False


class Story:
    """Everything read so far. Entries change it one by one, and time does too."""

    def __init__(self, *, chosen: dict[str, bool], related: dict[str, Any]) -> None:
        """Start with a blade of which nothing is known."""
        self.chosen = chosen
        self.related = related
        self.marks: dict[str, Any] = data_files.load("marks")["by_id"]
        self.limits = Limits(None)
        self.made: dict[str, Any] = {}
        self.card_id: str | None = None
        self.cards: list[Entry] = []  # every card, in shop order
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
        self.before = "planned"  # where it was before it was straightened
        self.aside = "planned"  # where it was before it was put aside
        self.cold_ms: int | None = None  # when the last heat had cooled
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
        self.initials = ""  # of whoever wrote last
        self.bath_reads: dict[str, list[list[float]]] = {}  # by medium: [at_ms, degC]
        self.latest: dict[str, Entry] = {}
        self.latest_slot: dict[str, int] = {}
        self.bows: list[dict[str, Any]] = []
        self.runs: dict[
            int, list[dict[str, Any]]
        ] = {}  # bows from heat to heat; straightening begins a new run
        self.series = 0
        self.twist: dict[str, Any] | None = None  # the last twist measured, with its verdict
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
        for check in ("crack", "file", "file_tang", "hardness", "hardness_tang", "sight"):
            self.latest.pop(check, None)

    def fact(self, check: str, name: str) -> Any:
        """Return one field of the latest reading of a check."""
        entry = self.latest.get(check)
        return None if entry is None else entry["body"].get(name)

    def read_ms(self, check: str) -> int | None:
        """Return when a check was last made."""
        entry = self.latest.get(check)
        return None if entry is None else int(entry["happened_ms"])

    def thing(self, kind: str, *, medium: str | None = None) -> dict[str, Any] | None:
        """Return the folded log of the bath, the oven or the coupon that goes with this blade.

        Of several only the one that the card or an entry names counts: another oven's reading says nothing.
        Where there is only one it is that one, but for a coupon, which proves its own bar alone. Of several
        baths in one quench each is known by what is in it.
        """
        given = self.related.get(kind)
        things = [one for one in (given if isinstance(given, list) else [given]) if isinstance(one, dict)]
        if medium is not None:
            things = [one for one in things if _is_of(one, medium)]
        if isinstance(given, dict):
            return things[0] if things else None
        for one in things:
            if self._names(kind, one):
                return one
        return things[0] if len(things) == 1 and kind != "coupon" else None

    def _names(self, kind: str, one: dict[str, Any]) -> bool:
        """Tell whether an entry or the card names this thing."""
        if str(one.get("log_id")) in self.named:
            return True
        facts = self.limits.fact(kind)
        if not isinstance(facts, dict):
            return False
        return any(facts.get(name) is not None and facts.get(name) == one.get(name) for name in THING_NAMES)

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


def _is_of(thing: dict[str, Any], medium: str) -> bool:
    """Tell whether a bath holds this medium."""
    facts = thing.get("facts")
    return isinstance(facts, dict) and facts.get("medium") == medium
