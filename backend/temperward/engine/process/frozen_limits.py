"""The figures that a log is read by: those frozen in its card, else those of common practice."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine.facts import is_number

BRITTLE_STAGES = ["reminder", "hurry", "alarm"]
LARGEST = 1000000.0  # no figure of a card is larger; what is, is not a figure (source: design)
# A set point outside is a slip of the pen, not a temper: at 50 degC nothing happens in steel, and over 700
# austenite begins (practice).
TEMPER_LOW_C, TEMPER_HIGH_C = 50.0, 700.0


def plausible(value: Any) -> bool:
    """Tell whether a value of a card can be reckoned with."""
    return is_number(value) and -LARGEST <= value <= LARGEST


# Figures already looked up: a fold asks for some of them at every entry.
_timers: dict[str, float] = {}
_usual: dict[str, float] = {}


def timer(name: str) -> float:
    """Return the figure called name from the program's own table; each stands there with its source."""
    if name not in _timers:
        _timers[name] = float(data_files.load("timers")[name]["value"])
    return _timers[name]


def usual(name: str) -> float:
    """Return the figure of common practice called name."""
    if name not in _usual:
        _usual[name] = float(data_files.load("limits")[name]["value"])
    return _usual[name]


class Limits:
    """The plain numbers of one card, each with something to stand in when the card does not say."""

    def __init__(self, card: dict[str, Any] | None) -> None:
        """Read them from the frozen card; a log without a card goes by common practice."""
        self.card: dict[str, Any] = {} if card is None else card
        given = self.card.get("limits")
        self.given: dict[str, Any] = given if isinstance(given, dict) else {}
        steps = self.card.get("steps")
        self.steps: list[dict[str, Any]] = steps if isinstance(steps, list) else []
        self.steps = [step for step in self.steps if isinstance(step, dict)]
        self.reliefs = _reliefs(self.steps)
        self._figures: dict[str, float | None] = {}  # those already looked up

    def has(self, name: str) -> bool:
        """Tell whether the card gives this figure."""
        return plausible(self.given.get(name))

    def number(self, name: str, default: float) -> float:
        """Return the card's figure, or the default."""
        value = self.number_or_none(name)
        return default if value is None else value

    def number_or_none(self, name: str) -> float | None:
        """Return the card's figure, if it gives one."""
        if name not in self._figures:
            value = self.given.get(name)
            self._figures[name] = float(value) if value is not None and plausible(value) else None
        return self._figures[name]

    def figure(self, name: str) -> float:
        """Return the card's figure, or that of common practice of the same name."""
        value = self.number_or_none(name)
        return usual(name) if value is None else value

    def says(self, name: str) -> bool:
        """Tell whether the card says yes to this."""
        return self.given.get(name) is True

    def of_list(self, name: str, index: int) -> float | None:
        """Return one figure of a list, the last one standing for all that follow it."""
        value: Any = self.given.get(name)
        if isinstance(value, list) and value:
            value = value[min(index, len(value) - 1)]
        return float(value) if plausible(value) else None

    def cycles(self) -> int:
        """Return how many cycles are planned."""
        return int(self.number("cycles", 3))

    def tempers(self) -> int:
        """Return how many tempers are planned."""
        return int(self.number("tempers", 2))

    def brittle_s(self, stage: str) -> float:
        """Return the seconds from the quench to a stage of the brittle clock."""
        brittle = self.given.get("brittle")
        value: Any = brittle.get(stage + "_s") if isinstance(brittle, dict) else None
        return float(value) if plausible(value) else usual("brittle_" + stage + "_s")

    def window(self) -> dict[str, float] | None:
        """Return the straightening window after a lift, if this blade has one."""
        window = self.given.get("window")
        if not isinstance(window, dict) or not plausible(window.get("bend_s")):
            return None
        bend_s = float(window["bend_s"])
        read: dict[str, float] = {"bend_s": bend_s}
        for name, default in [("stiffening_s", bend_s), ("gentle_s", bend_s)]:
            value: Any = window.get(name)
            read[name] = float(value) if plausible(value) else default
        for name in ["early_s", "late_s"]:
            if plausible(window.get(name)):
                read[name] = float(window[name])
        return read

    def hold_s(self) -> float:
        """Return the seconds until the blade counts as out of the bath without a mark."""
        return self.number("hold_s", timer("no_hold_s"))

    def latest_lift_s(self) -> float | None:
        """Return the longest time in the bath after which there still is a window, if a hold is known."""
        hold_s = self.number_or_none("hold_s")
        return None if hold_s is None else hold_s * timer("late_lift_ratio") + timer("late_lift_extra_s")

    def temper_hold_s(self, number: int) -> float:
        """Return the planned hold of temper number 1, 2 and so on."""
        value = self.of_list("temper_hold_s", number - 1)
        return usual("temper_hold_s") if value is None else value

    def temper_c(self, number: int) -> float | None:
        """Return the set point of temper number 1, 2 and so on."""
        value = self.of_list("temper_c", number - 1)
        if value is None:
            value = self.number_or_none("oven_set_c")
        return value if value is not None and TEMPER_LOW_C <= value <= TEMPER_HIGH_C else None

    def soak_cycle_s(self, cycle: int) -> float:
        """Return the soak of one cycle."""
        value = self.of_list("soak_cycle_s", cycle - 1)
        return timer("soak_s") if value is None else value

    def fact(self, name: str) -> Any:
        """Return a fact that the card was made from."""
        facts = self.card.get("facts")
        return facts.get(name) if isinstance(facts, dict) else None

    def step(self, state: str, *, cycle: int | None, temper: int | None) -> dict[str, Any] | None:
        """Return the card's step that this state belongs to."""
        best: dict[str, Any] | None = None
        for step in self.steps:
            states = step.get("states")
            if not isinstance(states, list) or state not in states:
                continue
            if best is None:
                best = step
            if (cycle is not None and step.get("cycle") == cycle) or (
                temper is not None and step.get("temper") == temper
            ):
                return step
        return best


def _reliefs(steps: list[dict[str, Any]]) -> list[int]:
    """Return after how many cycles each stress relief of the card comes."""
    found = []
    cycles = 0
    for step in steps:
        kind = step.get("kind")
        if kind == "cycle":
            cycles += 1
        elif kind == "stress_relief":
            found.append(cycles)
    return found
