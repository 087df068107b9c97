"""How thick the edge must stay for the heats that are planned."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_steel import Metal
from temperward.engine.process.card_work import Cycle
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import banded


def edge_need(plan: Plan, *, metal: Metal, cycles: list[Cycle]) -> dict[str, Any]:
    """Return the edge to leave before the heats; water needs more whatever the heats take."""
    soak_s = metal.row["soak_s"] + sum([cycle.soak_s for cycle in cycles])
    name = "edge_long_heats_mm" if soak_s > value_of("edge_long_heats_s") else "edge_short_heats_mm"
    least, sources = value_of(name), sources_of(name)
    if plan.clay:
        least, sources = value_of("clay_edge_mm"), sources_of("clay_edge_mm")
    elif plan.in_water and least < value_of("water_edge_mm"):
        least, sources = value_of("water_edge_mm"), sources_of("water_edge_mm")
    return banded(least, unit="mm", low=least, high=None, sources=sources, coverage=None)
