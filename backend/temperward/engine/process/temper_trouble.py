"""A temper that went wrong: the power was cut, or the oven ran too hot."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import OutOfRange, Refused
from temperward.engine.metallurgy.alloys import stock_of
from temperward.engine.metallurgy.equivalents import (
    CONSTANT,
    banded_temperature,
    banded_total,
    interruption_steps,
)
from temperward.engine.metallurgy.tempering import tempered
from temperward.engine.process.frozen_limits import timer, usual
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

UNKNOWN = "unknown"
ROOM_C = 20.0  # practice: what a shop's air is taken as
# From what is no temper yet (practice: under 100 degC no time counts) to past all that a knife is tempered
# at, within the handbook range of embrittlement (embrittlement: 260-370).
LEAST_SET_C, MOST_SET_C = 100.0, 350.0
LEAST_PLAN_S, LONGEST_S = 600.0, 86400.0  # temperingFit: what the fit rests on, 10 min to 24 h
LEAST_PEAK_S = 1.0  # design: shorter than that nobody sees an oven too hot
LEAST_TAU_S, MOST_TAU_S = 300.0, 20000.0  # practice: from a toaster oven with its door ajar to a brick kiln
Answer = dict[str, Any]


def temper_of(story: Story) -> Answer | None:
    """Return what the two questions need of a blade that has been in the oven."""
    if not story.stays:
        return None
    number = max(story.temper, 1)
    set_c = story.limits.temper_c(number)
    if set_c is None:
        return None
    steel = story.limits.fact("steel")
    found: Answer = {"set_c": set_c, "planned_s": story.limits.temper_hold_s(number)}
    if isinstance(steel, str):
        found["steel"] = steel
    return found


def _plan(facts: Answer) -> tuple[float, float]:
    set_c = facts_module.number(facts, "set_c", low=LEAST_SET_C, high=MOST_SET_C, unit="degC")
    planned_s = facts_module.number(facts, "planned_s", low=LEAST_PLAN_S, high=LONGEST_S, unit="s")
    return set_c, planned_s


def power_cut(facts: Answer) -> Answer:
    """Answer `power_cut`: what a temper counts for when the power failed in it, and what is left of it.

    Equation: Hollomon-Jaffe, the heats carried forward: the hold, then the oven cooling by exp(-t / tau)
    to 20 degC; time below 100 degC is left out. In: degC, s. Error: the band of the constants 15 to 20.
    >>> cut = power_cut({"set_c": 205, "planned_s": 7200, "held_s": 3000, "away_s": 5400})
    >>> [round(cut[name] / 60.0, 1) for name in ("run_s",)], round(cut["oven_c"], 1)
    ([67.8], 39.5)

    Reference: hollomonJaffe1945; how fast an oven cools is common practice.
    """
    facts_module.only(facts, ["set_c", "planned_s", "held_s", "away_s", "oven_tau_s", "steel"])
    set_c, planned_s = _plan(facts)
    held_s = facts_module.number(facts, "held_s", low=0.0, high=LONGEST_S, unit="s")
    away_s = facts_module.number(facts, "away_s", low=0.0, high=LONGEST_S, unit="s")
    tau_s = facts_module.number(
        facts, "oven_tau_s", low=LEAST_TAU_S, high=MOST_TAU_S, unit="s", default=timer("oven_tau_s")
    )
    heats = [heat for heat in _cut_heats(set_c, held_s=held_s, away_s=away_s, tau_s=tau_s) if heat[1] > 0.0]
    counted = banded_total(heats, at_c=set_c, constant=CONSTANT) if heats else None
    hot_s = sum(heat[1] for heat in heats if heat[0] >= usual("snap_c"))
    least_s = 0.0 if counted is None else counted["low"]
    run_s = max(planned_s - least_s, 0.0)
    said: Answer = {"set_c": set_c, "counted_s": least_s, "run_s": run_s}
    key = "left" if hot_s >= usual("snap_low_s") else "hard"
    return {
        "counted": counted,
        "run_s": run_s,
        "hot_s": hot_s,
        "hard_again": key == "hard",
        "oven_c": ROOM_C + (set_c - ROOM_C) * math.exp(-away_s / tau_s),
        "sentence": note("trouble.cut." + key, said),
    }


def _cut_heats(set_c: float, *, held_s: float, away_s: float, tau_s: float) -> list[list[float]]:
    if away_s <= 0.0:
        return [[set_c, held_s]]
    return interruption_steps(set_point_c=set_c, held_s=held_s, time_constant_s=tau_s, away_s=away_s)


def overshoot(facts: Answer) -> Answer:
    """Answer `overshoot`: the one temper that a temper with a stretch too hot equals, and what it costs.

    Equation: Hollomon-Jaffe, the heats carried forward; hardness by the temper model. In: degC, s.
    Valid for peaks up to 350 degC; where no temper model reaches so far, nothing is said of the loss.
    Error: the band of the constants 15 to 20, and of the hardness.
    >>> over = overshoot({"set_c": 205, "planned_s": 7200, "peak_c": 231, "peak_s": 1500})
    >>> round(over["equals"]["low"], 1), round(over["equals"]["high"], 1)
    (216.8, 217.9)

    Reference: hollomonJaffe1945.
    """
    facts_module.only(facts, ["set_c", "planned_s", "peak_c", "peak_s", "steel"])
    set_c, planned_s = _plan(facts)
    peak_c = facts_module.number(facts, "peak_c", low=set_c, high=MOST_SET_C, unit="degC")
    peak_s = facts_module.number(facts, "peak_s", low=LEAST_PEAK_S, high=LONGEST_S, unit="s")
    heats = [[set_c, planned_s], [peak_c, peak_s]]
    equals = banded_temperature(heats, hold_s=planned_s, constant=CONSTANT)
    loss_hrc = _loss_hrc(facts, heats)
    said: Answer = {"equals_c": equals["value"], "planned_s": planned_s}
    key = "unknown"
    if loss_hrc is not None:
        said["loss_hrc"] = loss_hrc
        key = "small" if loss_hrc <= usual("overshoot_loss_hrc") else "large"
    return {"equals": equals, "loss_hrc": loss_hrc, "sentence": note("trouble.over." + key, said)}


def _loss_hrc(facts: Answer, heats: list[list[float]]) -> float | None:
    if facts.get("steel") in (None, UNKNOWN):
        return None
    stock = stock_of({"steel": facts["steel"]})
    try:
        return float(tempered(stock, heats=heats[:1])["value"]) - float(tempered(stock, heats=heats)["value"])
    except (OutOfRange, Refused):  # the plain-carbon fit ends at 320 degC: what it equals still stands
        return None
