"""The figures that a sentence, a button or a caption may name."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from temperward.engine.process import baths, bows, oven
from temperward.engine.process.clocks import brittle_stages_ms
from temperward.engine.process.gate_ready_to_harden import cycles_wanted
from temperward.engine.process.view import View

SECOND_MS = 1000


def said(view: View, names: list[str]) -> dict[str, Any]:
    """Return the figures called names, those that are known."""
    found: dict[str, Any] = {}
    for name in names:
        value = FACTS[name](view)
        if value is not None:
            found[name] = value
    return found


def _cycle(view: View) -> int:
    story = view.story
    if story.state in ("ground_ready", "cycle_checked", "cycle_in_heat", "cycle_cooling"):
        return story.cycle if story.state == "cycle_in_heat" else max(story.cycle, story.cycles_done)
    return story.cycles_done


def _tempers(view: View) -> int:
    return max(view.story.limits.tempers(), view.story.temper)


def _oven_c(view: View) -> float | None:
    reading = baths.newest(view.story, check="oven_temperature", kind="oven")
    return None if reading is None else float(reading["body"]["temperature_c"])


def _set_c(view: View) -> float | None:
    story = view.story
    if story.state == "ready_to_harden" and story.limits.number_or_none("oven_set_c") is not None:
        return story.limits.number_or_none("oven_set_c")
    return story.limits.temper_c(max(story.temper, 1))


def _gap_k(view: View) -> float | None:
    value_c = _oven_c(view)
    set_c = _set_c(view)
    return None if value_c is None or set_c is None else abs(set_c - value_c)


def _bath(view: View) -> baths.Dip:
    """Return the bath that stands in the way, of several; else the first."""
    dips = baths.dips_of(view.story)
    for dip in dips:
        one = view.item("ready_to_harden", dip.item_id)
        if one is not None and one["passed"] is not True and one["overridden"] is None:
            return dip
    return dips[0]


def _bath_c(view: View) -> float | None:
    reading = baths.reading_of(view.story, _bath(view))
    return None if reading is None else float(reading["body"]["temperature_c"])


def _bath_low_c(view: View) -> float | None:
    limits = baths.bath_range(view.story, _bath(view))
    return None if limits is None else limits[0]


def _bath_high_c(view: View) -> float | None:
    limits = baths.bath_range(view.story, _bath(view))
    return None if limits is None else limits[1]


def _cool_ms(view: View) -> int | None:
    return baths.cool_ms(view.story, _bath(view))


def _bow_mm(view: View) -> float | None:
    return float(view.story.bows[-1]["counts_mm"]) if view.story.bows else None


def _bow_limit_mm(view: View) -> float | None:
    return float(view.story.bows[-1]["limit_mm"]) if view.story.bows else None


def _hold_s(view: View) -> float | None:
    stay = view.story.stays[-1] if view.story.stays else None
    if view.story.state in ("hardening_heat", "in_quench") or stay is None:
        return view.story.limits.number_or_none("hold_s")
    return oven.planned_s(view.story, stay)


def _alarm_s(view: View) -> float | None:
    quench = view.story.quench
    return None if quench is None else (brittle_stages_ms(view.story, quench)[2] - quench.at_ms) / SECOND_MS


def _counted_s(view: View) -> float | None:
    story = view.story
    if not story.stays or story.stays[-1].out_ms is None:
        return None
    return oven.counted_s(story, story.stays[-1].number, until_ms=story.stays[-1].out_ms)


def _counted_min(view: View) -> int | None:
    counted_s = _counted_s(view)
    return None if counted_s is None else int(counted_s // 60)


FACTS: dict[str, Callable[[View], Any]] = {
    "n": _cycle,
    "of": lambda view: cycles_wanted(view.story),
    "k": lambda view: view.story.temper,
    "next_n": lambda view: view.story.tempers_done + 1,
    "of_tempers": _tempers,
    "value_c": _oven_c,
    "of_c": _set_c,
    "gap_k": _gap_k,
    "bath_c": _bath_c,
    "low_c": _bath_low_c,
    "high_c": _bath_high_c,
    "cool_ms": _cool_ms,
    "value_mm": _bow_mm,
    "limit_mm": _bow_limit_mm,
    "kink_mm": lambda view: bows.kink_mm(view.story),
    "hold_s": _hold_s,
    "alarm_s": _alarm_s,
    "counted_s": _counted_s,
    "counted_min": _counted_min,
}
