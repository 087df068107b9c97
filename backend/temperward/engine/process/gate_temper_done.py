"""Temper done: the time counted, the cycles run, cold, straight."""

from __future__ import annotations

from typing import TYPE_CHECKING

from temperward.engine.process.bows import limit_pct
from temperward.engine.process.frozen_limits import timer
from temperward.engine.process.gate_ready_for_heat import wanted_length
from temperward.engine.process.gates import ask, item, of, yes
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

if TYPE_CHECKING:
    from temperward.engine.process.gates import Item

GATE = "temper_done"


def items(story: Story, _at_ms: int) -> list[Item]:
    """Return the items as they stand."""
    found = [tempers(story), cold(story), straight(story)]
    if story.tempers_counted < story.tempers_done:
        value = note("fold.value.of_n", {"value": story.tempers_counted, "of": story.limits.tempers()})
        enough = story.tempers_counted >= story.limits.tempers()
        found.append(item("warm_lift", passed=enough, hard=False, value=value))
    return found


def tempers(story: Story) -> Item:
    """As many tempers as planned, each with its time counted at the measured temperature."""
    planned = story.limits.tempers()
    value = note("fold.value.of_n", {"value": story.tempers_done, "of": planned})
    return item(
        "tempers", passed=story.tempers_done >= planned, hard=True, value=value, read_ms=out_ms(story)
    )


def out_ms(story: Story) -> int | None:
    """Return when it last came out of the oven."""
    return story.stays[-1].out_ms if story.stays else None


def cold(story: Story) -> Item:
    """Cold enough to be judged."""
    reading = story.fact("blade_temperature", "temperature_c")
    passed = story.cold or (reading is not None and reading < timer("cold_c") and _since_oven(story))
    return item("cold", passed=passed, hard=True, value=yes(passed), check=ask("blade_temperature"))


def _since_oven(story: Story) -> bool:
    came_ms = out_ms(story)
    return came_ms is not None and bool(story.latest["blade_temperature"]["happened_ms"] >= came_ms)


def jig_planned(story: Story) -> bool:
    """Tell whether it is to be jigged in the temper that comes; a plan made before the last is used up."""
    plan = story.choices.get("jig_planned")
    came_ms = out_ms(story)
    return plan is not None and came_ms is not None and bool(plan["at_ms"] >= came_ms)


def measured(story: Story) -> bool:
    """Tell whether a bow was read since the last temper."""
    return bool(story.bows) and story.bows[-1]["place"] in ("temper", "finish") and _after_last_stay(story)


def _after_last_stay(story: Story) -> bool:
    row = story.bows[-1]
    return bool(row["place"] == "finish" or row["after"]["facts"].get("n") == story.temper)


def straight(story: Story) -> Item:
    """Straight, or to be jigged in another temper by intent."""
    check = ask("straightness", body=wanted_length(story))
    if jig_planned(story):
        follows = True if story.tempers_done < story.limits.tempers() else None
        value = note("fold.value.jig_planned")
        return item("straight", passed=follows, hard=True, value=value, check=check)
    if not measured(story):
        return item("straight", passed=None, hard=True, check=check)
    last = story.bows[-1]
    most_mm = limit_pct(story) / 100.0 * last["length_mm"]
    value = of(last["counts_mm"], most_mm, "mm")
    return item(
        "straight",
        passed=last["counts_mm"] <= most_mm,
        hard=True,
        value=value,
        check=check,
        read_ms=last["read_ms"],
    )
