"""The set point that belongs beside the number: what the fire, the bath or the oven should be at."""

from __future__ import annotations

from typing import Any

from temperward.engine.facts import is_number
from temperward.engine.process import baths
from temperward.engine.process.frozen_limits import usual
from temperward.engine.process.mark_effects import next_heat
from temperward.engine.process.phases_hard import oven_ready, oven_until_ms
from temperward.engine.process.story import Story
from temperward.engine.process.straighten_advice import shim_line
from temperward.engine.process.view import View
from temperward.engine.quantities import note

HARD = ["hard", "snap_tempered"]
OVEN = ["hard", "snap_tempered", "temper_in_heat", "straightening_in_temper", "temper_cooling"]
BEFORE_A_HEAT = ["ground_ready", "cycle_checked", "straightening_soft", "rework"]


def line_of(view: View) -> dict[str, Any] | None:
    """Return the line beside the number: of a hard blade, whether its oven is ready, else what it goes by."""
    story = view.story
    line = set_of(story)
    if story.state not in HARD or line is None or line["key"] != "fold.set.oven":
        return line
    return ready_line(view, set_c=line["facts"]["value_c"])


def ready_line(view: View, *, set_c: float) -> dict[str, Any]:
    """Say yes or no: an oven that was not read lately is not ready."""
    facts: dict[str, Any] = {"of_c": set_c}
    reading = baths.newest(view.story, check="oven_temperature", kind="oven")
    if reading is None or view.now_ms >= oven_until_ms(view.story, reading["at_ms"]):
        return note("fold.set.oven_unread", facts)
    facts["value_c"] = reading["body"]["temperature_c"]
    return note("fold.set.oven_ready" if oven_ready(view.story, view.now_ms) else "fold.set.oven_off", facts)


def set_of(story: Story) -> dict[str, Any] | None:
    """Return the one line of the card that this moment goes by, if it has one."""
    if story.people:
        return None
    if story.state == "cycle_in_heat":
        return cycle_line(story)
    if story.state in BEFORE_A_HEAT:
        return heat_line(heat_step(story, kind=next_heat(story), number=story.cycles_done + 1))
    if story.state == "hardening_heat":
        return heat_line(step_of_kind(story, "hardening_heat"))
    if story.state == "ready_to_harden":
        return bath_line(story)
    return last_line(story)


def cycle_line(story: Story) -> dict[str, Any] | None:
    """Return the heat of a cycle; one that the card does not plan softens a blade that hardened in air."""
    step = heat_step(story, kind=story.heat_kind, number=story.cycle)
    softening = step is None and story.heat_kind == "stress_relief"
    return softening_line() if softening else heat_line(step)


def last_line(story: Story) -> dict[str, Any] | None:
    """Return the shim or what the oven is to be at; a blade that hardened in air goes back into the fire."""
    if story.state == "hard" and story.quench is not None and story.quench.by_air:
        return softening_line()
    shim = shim_line(story) if story.state == "temper_cooling" and story.cold else None
    if shim is not None:
        return shim
    return oven_line(story) if story.state in OVEN else None


def softening_line() -> dict[str, Any]:
    """Return what a blade that hardened in air is softened at."""
    return note("fold.set.heat.plain", {"value_c": usual("soften_c")})


def bath_line(story: Story) -> dict[str, Any] | None:
    """Return the range of the bath; of several, of the first that has no good reading."""
    dips = baths.dips_of(story)
    shown = dips[0]
    for dip in dips:
        limits = baths.bath_range(story, dip)
        reading = baths.reading_of(story, dip)
        if limits is not None and (
            reading is None or not limits[0] <= reading["body"]["temperature_c"] <= limits[1]
        ):
            shown = dip
            break
    limits = baths.bath_range(story, shown)
    return None if limits is None else note("fold.set.bath", {"low_c": limits[0], "high_c": limits[1]})


def step_of_kind(story: Story, kind: str) -> dict[str, Any] | None:
    """Return the first step of a kind."""
    for step in story.limits.steps:
        if step.get("kind") == kind:
            return step
    return None


def heat_step(story: Story, *, kind: str, number: int) -> dict[str, Any] | None:
    """Return the step of a heat: of its cycle, or of the last cycle where there are more than planned."""
    found = None
    for step in story.limits.steps:
        if step.get("kind") == kind:
            found = step
            if kind != "cycle" or step.get("cycle") == number:
                break
    return found


def heat_line(step: dict[str, Any] | None) -> dict[str, Any] | None:
    """Return a heat's temperature with its tolerance."""
    points = None if step is None else step.get("set_points")
    for point in points if isinstance(points, list) else []:
        if (
            not isinstance(point, dict)
            or point.get("id") != "temperature"
            or not is_number(point.get("value"))
        ):
            continue
        minus = point.get("minus")
        plus = point.get("plus")
        facts = {"value_c": point["value"]}
        if not is_number(minus) or not is_number(plus):
            return note("fold.set.heat.plain", facts)
        facts["low_c"] = point["value"] - minus
        facts["high_c"] = point["value"] + plus
        return note("fold.set.heat", facts)
    return None


def oven_line(story: Story) -> dict[str, Any] | None:
    """Return the set point of the temper that runs or comes next."""
    number = story.tempers_done + 1 if story.state == "temper_cooling" else max(story.temper, 1)
    set_c = story.limits.temper_c(number)
    if set_c is None or (story.state == "temper_cooling" and story.tempers_done >= story.limits.tempers()):
        return None
    return note("fold.set.oven", {"value_c": set_c})
