"""The one big number of a screen: an instant to count from or to, or a value. The screen only counts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from temperward.engine.process import clocks, gate_quench_go, oven
from temperward.engine.process.frozen_limits import timer
from temperward.engine.process.said_facts import FACTS, said
from temperward.engine.process.set_line import set_of
from temperward.engine.process.view import View
from temperward.engine.quantities import note

Number = dict[str, Any]
NONE: Number = {"kind": "none", "caption": {"key": "fold.number.none", "facts": {}}}
SECOND_MS = 1000


def number_of(view: View, number_id: str) -> Number:
    """Return the number that a phase names."""
    return NUMBERS[number_id](view)


def elapsed(from_ms: int | None, words: str, facts: dict[str, Any] | None = None) -> Number:
    """Return a number that counts up from an instant."""
    if from_ms is None:
        return NONE
    return {"kind": "elapsed", "from_ms": from_ms, "caption": note("fold.number." + words, facts)}


def countdown(view: View, until_ms: int | None, words: str, *, from_ms: int | None) -> Number:
    """Return a number that counts down to an instant; past it, the time since, with a plus."""
    if until_ms is None:
        return elapsed(from_ms, words + ".since")
    said_as = words if view.now_ms < until_ms else words + ".over"
    return {
        "kind": "countdown",
        "from_ms": from_ms,
        "until_ms": until_ms,
        "caption": note("fold.number." + said_as),
    }


def count(value: Any, of: Any, words: str) -> Number:
    """Return a number of things done."""
    return {"kind": "count", "value": value, "unit": "", "caption": note("fold.number." + words, {"of": of})}


def _people(view: View) -> Number:
    return elapsed(view.story.people[0]["since_ms"] if view.story.people else None, "people")


def _heat(view: View) -> Number:
    return elapsed(None if view.story.heat is None else view.story.heat.in_ms, "heat")


def _soak(view: View) -> Number:
    from_ms = None if view.story.heat is None else view.story.heat.even_ms
    return countdown(view, clocks.cycle_soak_due_ms(view.story), "soak", from_ms=from_ms)


def _hard_soak(view: View) -> Number:
    due_ms = gate_quench_go.soak_due_ms(view.story)
    return countdown(view, due_ms, "soak", from_ms=gate_quench_go.soak_from_ms(view.story))


def _cooling(view: View) -> Number:
    return countdown(view, clocks.cooling_due_ms(view.story), "cooling", from_ms=view.story.since_ms)


def _since(view: View) -> Number:
    return elapsed(view.story.since_ms, "since")


def _readiness(view: View) -> Number:
    for clock in view.clocks:
        if clock["kind"] == "readiness":
            return countdown(view, clock["due_ms"], "readiness", from_ms=clock["from_ms"])
    return NONE


def _going(view: View) -> Number:
    return elapsed(None if view.story.heat is None else view.story.heat.going_ms, "going")


def _quench(view: View) -> Number:
    quench = view.story.quench
    facts = said(view, ["hold_s"])
    words = "quench" if facts else "quench.plain"
    return elapsed(None if quench is None else quench.at_ms, words, facts)


def _bend(view: View) -> Number:
    found = view.window
    return (
        NONE if found is None else countdown(view, found["bend_until_ms"], "bend", from_ms=found["open_ms"])
    )


def _gentle(view: View) -> Number:
    found = view.window
    return (
        NONE
        if found is None
        else countdown(view, found["gentle_until_ms"], "gentle", from_ms=found["open_ms"])
    )


def _hard(view: View) -> Number:
    quench = view.story.quench
    return elapsed(None if quench is None else quench.at_ms, "hard", said(view, ["alarm_s"]))


def _snap(view: View) -> Number:
    return elapsed(view.story.snap_ms, "snap", {"alarm_s": timer("snap_alarm_s")})


def _in_oven(view: View) -> Number:
    stay = view.story.stay()
    return elapsed(None if stay is None else stay.in_ms, "in_oven")


def _temper_hold(view: View) -> Number:
    stay = view.story.stay()
    if stay is None:
        return NONE
    return countdown(view, oven.due_ms(view.story, stay), "temper_hold", from_ms=stay.in_ms)


def _cycles(view: View) -> Number:
    return count(view.story.cycles_done, FACTS["of"](view), "cycles")


def _tempers(view: View) -> Number:
    return count(view.story.tempers_done, view.story.limits.tempers(), "tempers")


def _value(name: str, unit: str, kind: str, facts: list[str]) -> Callable[[View], Number]:
    def build(view: View) -> Number:
        value = FACTS[name](view)
        if value is None:
            return NONE
        return {
            "kind": kind,
            "value": value,
            "unit": unit,
            "caption": note("fold.number." + name, said(view, facts)),
        }

    return build


def _set_heat(view: View) -> Number:
    """Return the temperature of the heat that comes next, with its range."""
    line = set_of(view.story)
    if line is None:
        return NONE
    facts = dict(line["facts"])
    value_c = facts.pop("value_c")
    words = "fold.number.set_heat" if facts else "fold.number.set_heat.plain"
    return {"kind": "temperature", "value": value_c, "unit": "degC", "caption": note(words, facts)}


def _none(_view: View) -> Number:
    return NONE


NUMBERS: dict[str, Callable[[View], Number]] = {
    "none": _none,
    "set_heat": _set_heat,
    "since_people": _people,
    "heat": _heat,
    "soak": _soak,
    "hard_soak": _hard_soak,
    "cooling": _cooling,
    "since": _since,
    "readiness": _readiness,
    "since_going": _going,
    "since_quench": _quench,
    "bend": _bend,
    "gentle": _gentle,
    "hard": _hard,
    "snap": _snap,
    "in_oven": _in_oven,
    "temper_hold": _temper_hold,
    "cycles": _cycles,
    "tempers": _tempers,
    "bow": _value("value_mm", "mm", "count", ["limit_mm"]),
    "oven": _value("value_c", "degC", "temperature", ["of_c"]),
    "bath": _value("bath_c", "degC", "temperature", ["low_c", "high_c"]),
    "counted": _value("counted_min", "min", "count", ["hold_s"]),
}
