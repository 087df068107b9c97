"""Whether this section hardens in this bath."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_baths import BathRange
from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_steel import Metal


def verdict_of(
    plan: Plan, *, metal: Metal, thickest_mm: float, ranges: list[BathRange]
) -> tuple[str, list[dict[str, Any]]]:
    """Return likely or doubtful, with notes."""
    if plan.dips[0].medium in metal.row["media"]:
        return "likely", []
    return "doubtful", []
