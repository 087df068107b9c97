"""At which heats the cycles before hardening run, and for how long."""

from __future__ import annotations

from typing import Any

from temperward.engine.metallurgy.cycles import second_cycle_c, third_cycle_c
from temperward.engine.process.card_steel import Metal
from temperward.engine.process.card_work import Cycle
from temperward.engine.process.limit_values import sources_of, value_of

MOST_CYCLES = 3  # practice: more of them refine no further


def last_cycle_c(metal: Metal) -> float:
    """Return the finest cycle: the steel's own or just over the change, of layers the hotter."""
    if metal.row["cycle3_c"] is not None:
        return float(metal.row["cycle3_c"])
    return max([third_cycle_c(stock) for stock in metal.layers])


def soak_name(metal: Metal, *, first: bool) -> str:
    """Return which soak figure a cycle of this steel takes."""
    kind = "alloy" if metal.alloyed or metal.kind == "layers" else "plain"
    if metal.row["family"] == "bearing":
        kind = "bearing"
    return ("soak_cycle_1_" if first else "soak_cycle_") + kind + "_s"


def heats_c(metal: Metal, *, count: int) -> list[tuple[float, str]]:
    """Return each cycle's heat and which rule gave it; of two, the second is already the finest."""
    row = metal.row
    middle = second_cycle_c(row)
    if not metal.known:
        middle = float(value_of("unknown_cycle_2_c"))
    finest = last_cycle_c(metal)
    first: Any = row["normalise_c"]
    if first is None:  # a steel that is not normalised starts at the upper end of its hardening range
        first = row["austenitise_high_c"]
    heats = [(float(first), "normalise"), (middle, "middle"), (finest, "cycle3")]
    if count == MOST_CYCLES - 1:
        return [heats[0], heats[2]]
    return heats[:count]


def cycles(count: int, *, metal: Metal) -> list[Cycle]:
    """Return so many cycles in order, each with its tolerance and soak."""
    found = []
    heats = heats_c(metal, count=count)
    for k in range(len(heats)):
        heat_c, rule = heats[k]
        half = value_of(
            {
                "normalise": "cycle_1_tolerance_k",
                "middle": "cycle_2_tolerance_k",
                "cycle3": "cycle_3_tolerance_k",
            }[rule]
        )
        sources = metal.sources("cycle3") if rule == "cycle3" else metal.sources("austenitise") + ["practice"]
        if rule == "normalise" and metal.row["normalise_c"] is not None:
            sources = metal.sources("normalise")
        soak = soak_name(metal, first=k == 0)
        found.append(
            Cycle(
                temperature_c=heat_c,
                minus_k=half,
                plus_k=half,
                soak_s=value_of(soak),
                sources=sources,
                soak_sources=sources_of(soak),
            )
        )
    return found
