"""Set points for a bar known only by its analysis: the rules that the named steels follow."""

from __future__ import annotations

from typing import Any

from temperward.engine.metallurgy.alloys import Alloy, Stock
from temperward.engine.metallurgy.cycles import rounded_to_5_c
from temperward.engine.metallurgy.transformation import ac1_c, ac3_c
from temperward.engine.process.limit_values import sources_of, value_of


def is_alloyed(alloy: Alloy) -> bool:
    """Tell whether chromium, nickel, molybdenum, vanadium, tungsten or silicon make it more than plain."""
    small = value_of("own_alloy_pct")
    many = alloy.cr_pct + alloy.ni_pct + alloy.mo_pct + alloy.v_pct + alloy.w_pct
    return bool(many >= small or alloy.si_pct > 1.0)


def hardening_range_c(alloy: Alloy) -> tuple[float, float]:
    """Return the hardening range: above Ac3 to 0.70 %C, fixed about the eutectoid, above Ac1 from 0.90 %C."""
    if alloy.c_pct <= value_of("own_hypo_carbon_pct"):
        low = ac3_c(alloy) + value_of("own_low_over_ac3_k")
        high = ac3_c(alloy) + value_of("own_high_over_ac3_k")
        if alloy.c_pct >= value_of("own_floor_from_carbon_pct"):
            low = max(low, float(value_of("own_floor_c")))
            high = max(high, low + value_of("own_high_over_ac3_k") - value_of("own_low_over_ac3_k"))
        return rounded_to_5_c(low), rounded_to_5_c(high)
    if alloy.c_pct >= value_of("own_hyper_carbon_pct"):
        low = ac1_c(alloy) + value_of("own_low_over_ac1_k")
        return rounded_to_5_c(low), rounded_to_5_c(ac1_c(alloy) + value_of("own_high_over_ac1_k"))
    return float(value_of("own_eutectoid_low_c")), float(value_of("own_eutectoid_high_c"))


def soak_name(alloy: Alloy) -> str:
    """Return which soak figure an analysis asks for."""
    if is_alloyed(alloy):
        return "own_soak_alloy_s"
    if alloy.c_pct >= value_of("own_hyper_carbon_pct"):
        return "own_soak_carbide_s"
    return "own_soak_plain_s"


def row_of_analysis(stock: Stock) -> dict[str, Any]:
    """Return the row of a bar without a name."""
    alloy = stock.nominal
    low, high = hardening_range_c(alloy)
    alloyed = is_alloyed(alloy)
    practice = ["practice"]
    return {
        "designation": "",
        "family": "alloyed" if alloyed else "plain",
        "austenitise_low_c": low,
        "austenitise_high_c": high,
        "aim_c": rounded_to_5_c((low + high) / 2.0),
        "soak_s": value_of(soak_name(alloy)),
        "normalise_c": high + value_of("own_normalise_over_k"),
        "normalise_only_if_forged": False,
        "cycle3_c": None,
        "air_hardens": "any" if alloyed else "no",
        "air_hardens_below_mm": None,
        "by_eye": "poor",
        "temper_low_c": float(value_of("own_temper_low_c")),
        "temper_high_c": float(value_of("own_temper_high_c")),
        "media": ["medium_oil", "fast_oil"] if alloyed else ["fast_oil"],
        "sources": {
            "austenitise": ["andrews1965", "practice"],
            "aim": ["andrews1965", "practice"],
            "soak": sources_of(soak_name(alloy)),
            "normalise": practice,
            "cycle3": practice,
            "air_hardens": practice,
            "by_eye": practice,
            "temper": sources_of("own_temper_low_c"),
            "media": practice,
        },
    }
