"""Go for the quench: a glance, nothing more."""

from __future__ import annotations

from typing import TYPE_CHECKING

from temperward.engine.process.frozen_limits import timer
from temperward.engine.process.gates import ask, item
from temperward.engine.process.story import Story

if TYPE_CHECKING:
    from temperward.engine.process.gates import Item

GATE = "quench_go"
SECOND_MS = 1000


def asked(story: Story, check: str) -> bool:
    """Tell whether the card asks for this check in the hardening heat; without a card both are asked."""
    step = story.limits.step("hardening_heat", cycle=None, temper=None)
    checks = None if step is None else step.get("checks")
    if not isinstance(checks, list) or not checks:
        return True
    return any(isinstance(one, dict) and one.get("check") == check for one in checks)


def soak_from_ms(story: Story) -> int | None:
    """Return when the soak began: the magnet has let go on the rising heat, and the colour is even."""
    heat = story.heat
    if heat is None:
        return None
    if asked(story, "magnet") and heat.magnet_ms is None:
        return None
    if heat.even_ms is None:
        return heat.magnet_ms if not asked(story, "colour") else None
    return heat.even_ms if heat.magnet_ms is None else max(heat.even_ms, heat.magnet_ms)


def soak_due_ms(story: Story) -> int | None:
    """Return when the soak is long enough."""
    from_ms = soak_from_ms(story)
    return (
        None if from_ms is None else int(from_ms + story.limits.number("soak_s", timer("soak_s")) * SECOND_MS)
    )


def even_colour(story: Story) -> bool | None:
    """Tell what this heat's own reading of the colour said; an earlier heat's says nothing."""
    heat = story.heat
    if heat is None:
        return None
    if heat.even_ms is not None:
        return True
    last = story.latest.get("colour")
    if last is None or last["happened_ms"] < heat.in_ms or last["body"]["even"]:
        return None
    return False


def items(story: Story, at_ms: int) -> list[Item]:
    """Return the items as they stand at an instant."""
    heat = story.heat
    found = []
    if asked(story, "magnet"):
        passed = None if heat is None or heat.magnet_tries == 0 else heat.magnet_ms is not None
        found.append(item("magnet", passed=passed, hard=True, check=ask("magnet")))
    if asked(story, "colour"):
        found.append(item("colour", passed=even_colour(story), hard=True, check=ask("colour")))
    due_ms = soak_due_ms(story)
    found.append(item("soak", passed=None if due_ms is None else at_ms >= due_ms, hard=True))
    return found
