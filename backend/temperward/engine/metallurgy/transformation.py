"""The heat at which steel changes, what the magnet shows of it, and how far is still to go."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import OutOfRange
from temperward.engine.metallurgy.alloys import (
    Alloy,
    Stock,
    aim_c,
    composition_sources,
    row_for,
    stock_of,
)
from temperward.engine.metallurgy.dissolved import (
    alloy_shift_pct,
    dissolved_carbon,
    full_solution_c,
    slow_share,
)
from temperward.engine.metallurgy.martensite import martensite_start, retained_austenite
from temperward.engine.quantities import banded, note

AC_BAND_K, AC1_SILICON_BAND_K = 15.0, 30.0  # residuals of the formula (andrews1965 against asmCriticalTable)
# Of 0.8 % chromium steels the formula reads up to 24 K high (5160: asmCriticalTable), so the band goes down.
AC1_CHROMIUM_BELOW_K, AC1_CHROMIUM_PCT = 25.0, 0.6
# Near the eutectoid and with silicon the formula reads high (asmCriticalTable): the band goes down.
AC3_BELOW_NEAR_EUTECTOID_K, AC3_NEAR_EUTECTOID_PCT = 25.0, 0.65
AC3_MOST_CARBON_PCT, AC3_MOST_CHROMIUM_PCT = 0.75, 1.2  # beyond, the formula has no meaning (andrews1965)
EUTECTOID_CARBON_PCT = 0.77  # equilibrium2025: 0.76-0.77
ACCM_BAND_K = 20.0  # equilibrium2025: the database +-10 degC, read off on a grid of 5
# Mill cards of 100Cr6 print 785 and 850 degC where equilibrium has 890 (card100Cr6, equilibrium2025).
ACCM_CHROMIUM_BELOW_K = 105.0


def ac1_c(alloy: Alloy) -> float:
    """Temperature at which austenite begins on slow heating.

    Equation: Ac1 = 723 - 10.7Mn - 16.9Ni + 29.1Si + 16.9Cr + 6.38W. In: weight percent. Error +-15 degC
    (+-30 with Si over 1 %). A torch or induction coil heats faster and shifts it up by 15-60 degC.
    >>> round(ac1_c(Alloy(c_pct=0.84, mn_pct=0.75, si_pct=0.22)), 1)
    721.4

    Reference: andrews1965.
    """
    lowered = 10.7 * alloy.mn_pct + 16.9 * alloy.ni_pct
    return 723.0 - lowered + 29.1 * alloy.si_pct + 16.9 * alloy.cr_pct + 6.38 * alloy.w_pct


def ac3_c(alloy: Alloy) -> float:
    """Temperature at which the last ferrite is gone on slow heating, for up to 0.75 %C and 1.2 %Cr.

    Equation (short form): Ac3 = 910 - 203 sqrt(C) - 15.2Ni + 44.7Si + 104V + 31.5Mo + 13.1W. Error +-15 degC.
    >>> round(ac3_c(Alloy(c_pct=0.60, mn_pct=0.88, si_pct=0.22, cr_pct=0.80)), 1)
    762.6

    Reference: andrews1965. The long form without P and Al reads 16-44 degC low and is not used.
    """
    if alloy.c_pct > AC3_MOST_CARBON_PCT:
        raise OutOfRange(
            field="composition.c",
            value=alloy.c_pct,
            low=0.40,
            high=AC3_MOST_CARBON_PCT,
            unit="pct",
            reason="refusal.ac3_range",
        )
    if alloy.cr_pct > AC3_MOST_CHROMIUM_PCT:
        raise OutOfRange(
            field="composition.cr",
            value=alloy.cr_pct,
            low=0.0,
            high=AC3_MOST_CHROMIUM_PCT,
            unit="pct",
            reason="refusal.ac3_range",
        )
    raised = 44.7 * alloy.si_pct + 104.0 * alloy.v_pct + 31.5 * alloy.mo_pct + 13.1 * alloy.w_pct
    return 910.0 - 203.0 * math.sqrt(alloy.c_pct) - 15.2 * alloy.ni_pct + raised


def accm_c(stock: Stock) -> float:
    """Temperature at which the last cementite dissolves, for a steel with carbon to spare.

    Equation: the saturation line solved for the bar's carbon, never under Ac1. Error +-20 degC, 105 down
    with over 1.0 %Cr. Reference: equilibrium2025, card100Cr6.
    """
    return max(ac1_c(stock.nominal), full_solution_c(stock.nominal, row=stock.row))


def is_hypereutectoid(stock: Stock) -> bool:
    """Tell whether carbide, not ferrite, is the last thing to dissolve; a bar's own analysis rules."""
    if not stock.own_analysis and stock.row is not None and len(stock.row["saturation"]) > 1:
        return True
    alloy = stock.nominal
    if alloy.c_pct > AC3_MOST_CARBON_PCT:
        return True
    return alloy.c_pct > EUTECTOID_CARBON_PCT + alloy_shift_pct(alloy) and alloy.c_pct > 0.70


def ac1(stock: Stock) -> dict[str, Any]:
    """Return Ac1 with its band."""
    value = ac1_c(stock.nominal)
    alloy = stock.nominal
    above = AC1_SILICON_BAND_K if alloy.si_pct > 1.0 or alloy.cr_pct > AC3_MOST_CHROMIUM_PCT else AC_BAND_K
    below = max(above, AC1_CHROMIUM_BELOW_K) if alloy.cr_pct > AC1_CHROMIUM_PCT else above
    return banded(
        value,
        unit="degC",
        low=value - below,
        high=value + above,
        sources=["andrews1965"] + composition_sources(stock),
        notes=[note("note.fast_heating")],
    )


def upper_change(stock: Stock) -> tuple[str, dict[str, Any]]:
    """Return ("ac3" or "accm", value with band): which of the two bounds this steel's full austenite."""
    if is_hypereutectoid(stock):
        value = accm_c(stock)
        sources = ["equilibrium2025"] + composition_sources(stock)
        below_k = ACCM_BAND_K
        if slow_share(stock.nominal) > 0.0:
            below_k, sources = ACCM_CHROMIUM_BELOW_K, sources + ["card100Cr6"]
        return "accm", banded(
            value, unit="degC", low=value - below_k, high=value + ACCM_BAND_K, sources=sources
        )
    value = ac3_c(stock.nominal)
    lean, rich = value, value
    if not stock.own_analysis:
        lean, rich = ac3_c(stock.lean), ac3_c(stock.rich)
    model_k = AC3_BELOW_NEAR_EUTECTOID_K if stock.nominal.c_pct > AC3_NEAR_EUTECTOID_PCT else AC_BAND_K
    if stock.nominal.si_pct > 1.0:
        model_k = AC1_SILICON_BAND_K
    below = math.sqrt(model_k**2 + (value - min(lean, rich, value)) ** 2)
    above = math.sqrt(AC_BAND_K**2 + (max(lean, rich, value) - value) ** 2)
    sources = ["andrews1965"] + composition_sources(stock)
    return "ac3", banded(value, unit="degC", low=value - below, high=value + above, sources=sources)


def magnet_off(stock: Stock) -> dict[str, Any]:
    """Return where the magnet stops sticking on a rising heat."""
    proves = [note("note.magnet_proves"), note("note.magnet_rising_only")]
    row = row_for(stock)
    if row is not None:
        low, high = row["magnet_off_low_c"], row["magnet_off_high_c"]
        sources = list(row["sources"]["magnet_off"])
    else:
        start = ac1_c(stock.nominal)
        end = 770.0 if is_hypereutectoid(stock) else ac3_c(stock.nominal)
        low, high = min(start + 10.0, 755.0), min(770.0, max(end, start + 30.0))
        sources = ["fromMemory"]
    return banded((low + high) / 2.0, unit="degC", low=low, high=high, sources=sources, notes=proves)


def still_to_go(magnet: dict[str, Any], *, austenitise_c: float) -> dict[str, Any]:
    """Return how many kelvin lie between the magnet letting go and the hardening heat."""
    return banded(
        austenitise_c - magnet["value"],
        unit="K",
        low=austenitise_c - magnet["high"],
        high=austenitise_c - magnet["low"],
        sources=magnet["sources"],
        notes=[note("note.magnet_not_enough")],
    )


def refuse_cold_heat(stock: Stock, *, austenitise_c: float) -> None:
    """Refuse a hardening heat below the change: nothing said here would hold."""
    name, bound = upper_change(stock)
    least = bound["low"] if name == "ac3" else ac1_c(stock.nominal) + 10.0
    if austenitise_c < least:
        raise OutOfRange(
            field="austenitise_c",
            value=austenitise_c,
            low=least,
            high=1000.0,
            unit="degC",
            reason="refusal.below_the_change",
        )


def transformation_temperatures(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `transformation_temperatures`."""
    facts_module.only(facts, ["steel", "composition", "austenitise_c", "to_c"])
    stock = stock_of(facts)
    heat_c = aim_c(stock, facts)
    to_c = facts_module.number(facts, "to_c", low=-30.0, high=150.0, unit="degC", default=20.0)
    refuse_cold_heat(stock, austenitise_c=heat_c)
    name, bound = upper_change(stock)
    ms = martensite_start(stock, austenitise_c=heat_c)
    magnet = magnet_off(stock)
    return {
        "austenitise_c": heat_c,
        "ac1": ac1(stock),
        name: bound,
        "dissolved_carbon_pct": dissolved_carbon(stock, austenitise_c=heat_c),
        "ms": ms,
        "retained_austenite": retained_austenite(ms, to_c=to_c),
        "magnet_off": magnet,
        "still_to_go_after_magnet": still_to_go(magnet, austenitise_c=heat_c),
    }
