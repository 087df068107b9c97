"""The descending heats before hardening."""

from __future__ import annotations

from typing import Any

from temperward.engine.metallurgy.alloys import Stock
from temperward.engine.metallurgy.transformation import ac1_c, ac3_c

ABOVE_AC3_K, ABOVE_AC1_K, AC3_TO_CARBON_PCT = 35.0, 45.0, 0.65  # practice


def rounded_to_5_c(temperature_c: float) -> float:
    """Return the nearest five degrees, as set points are read.

    >>> rounded_to_5_c(818.7)
    820.0
    """
    return 5.0 * int(temperature_c / 5.0 + 0.5)


def third_cycle_c(stock: Stock) -> float:
    """Temperature of the last cycle: the steel's own, else just over the change and never below it.

    Equation: Ac3 + 35 to 0.65 %C, Ac1 + 45 above, to the nearest 5. Reference: practice, andrews1965.
    """
    if stock.row is not None and stock.row["cycle3_c"] is not None:
        return float(stock.row["cycle3_c"])
    if stock.nominal.c_pct <= AC3_TO_CARBON_PCT:
        return rounded_to_5_c(ac3_c(stock.nominal) + ABOVE_AC3_K)
    return rounded_to_5_c(ac1_c(stock.nominal) + ABOVE_AC1_K)


def second_cycle_c(row: dict[str, Any]) -> float:
    """Temperature of the middle cycle: the middle of the steel's hardening range, to the nearest 5."""
    return rounded_to_5_c((row["austenitise_low_c"] + row["austenitise_high_c"]) / 2.0)
