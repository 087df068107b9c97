"""Harden it again, or live with it: what there is to weigh when the hardness is not what was promised."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine.facts import is_number
from temperward.engine.process.frozen_limits import timer
from temperward.engine.process.gate_release import accepted_as_is, outside_promise
from temperward.engine.process.gates import ask, item
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

if TYPE_CHECKING:
    from temperward.engine.process.gates import Item

GATE = "reharden"


def asked(story: Story) -> bool:
    """Tell whether this is to be decided: read, out of the promise, and not yet taken as it is."""
    readings = story.fact("hardness", "readings_hrc")
    if story.state != "final_check" or readings is None:
        return False
    return outside_promise(story, readings) > 0 and not accepted_as_is(story)


def items(story: Story, _at_ms: int) -> list[Item]:
    """Return the one item; past the cap there is nothing to decide any more."""
    return [
        item(
            "reharden",
            passed=None,
            hard=True,
            value=weighed(story),
            check=ask("edge_thickness"),
            overridable=story.rehardens < timer("rehardens"),
            read_ms=story.read_ms("hardness"),
        )
    ]


def weighed(story: Story) -> dict[str, Any]:
    """Return the heats so far, the edge against the need, how often it was hardened again, and for what."""
    return note(
        "fold.value.weigh",
        {
            "n": story.heats_done + story.rehardens + 1,
            "used": story.rehardens,
            "most": int(timer("rehardens")),
            "edge": _edge(story),
            "band": _band(story),
        },
    )


def _edge(story: Story) -> dict[str, Any]:
    readings = story.fact("edge_thickness", "readings_mm")
    need_mm = story.limits.number_or_none("edge_need_mm")
    if readings is None or need_mm is None:
        return note("fold.weigh.edge_unread")
    return note("fold.weigh.edge", {"edge_mm": min(readings), "need_mm": need_mm})


def _band(story: Story) -> dict[str, Any]:
    """Return the hardness that the card's last temper is to give."""
    step = story.limits.step("temper_in_heat", cycle=None, temper=story.limits.tempers())
    points = None if step is None else step.get("set_points")
    for point in points if isinstance(points, list) else []:
        if isinstance(point, dict) and point.get("id") == "expected_after" and is_number(point.get("value")):
            low_hrc = point["value"] - (point.get("minus") or 0.0)
            high_hrc = point["value"] + (point.get("plus") or 0.0)
            return note("fold.weigh.band", {"low_hrc": low_hrc, "high_hrc": high_hrc})
    return note("fold.weigh.band_unknown")
