"""How deep a composition hardens: the ideal diameter, and the plate that goes with it."""

from __future__ import annotations

import math

from temperward.engine.metallurgy.alloys import Alloy, Stock
from temperward.engine.metallurgy.dissolved import dissolved_carbon_pct

MM_PER_INCH = 25.4  # definition
MOST_CARBON_PCT = 0.90  # astmA255: the factor table ends here
# Dimensionless time for the centre of a round in an ideal quench to lose half its heat (definition:
# exact series).
IDEAL_ROUND_TIME = 0.2007
EDGE_SHARE = 0.75  # fromMemory: an edge wants 90-95 % martensite, the ideal diameter means 50 %


def carbon_factor_inch(carbon_pct: float) -> float:
    """Carbon factor at grain size 7; the small steps at the breakpoints are the standard's.

    >>> round(carbon_factor_inch(0.22), 3)
    0.119
    """
    c = min(carbon_pct, MOST_CARBON_PCT)
    if c <= 0.39:
        return 0.54 * c
    if c <= 0.55:
        return 0.171 + 0.001 * c + 0.265 * c * c
    if c <= 0.65:
        return 0.115 + 0.268 * c - 0.038 * c * c
    if c <= 0.75:
        return 0.143 + 0.2 * c
    return 0.062 + 0.409 * c - 0.135 * c * c


def manganese_factor(mn_pct: float) -> float:
    """Manganese factor, to 1.95 %."""
    return 1.0 + 3.3333 * mn_pct if mn_pct <= 1.20 else 5.1 * mn_pct - 1.12


def nickel_factor(ni_pct: float) -> float:
    """Nickel factor, to 3.5 %."""
    if ni_pct <= 1.5:
        return 1.0 + 0.363 * ni_pct
    return 0.3211 + ni_pct * (1.4501 + ni_pct * (-0.6119 + 0.1253 * ni_pct))


def ideal_diameter_inch(alloy: Alloy, *, cu_pct: float = 0.0) -> float:
    """Ideal critical diameter: half martensite at the centre of a round in an ideal quench.

    Equation: carbon factor times the factors of Mn, Si, Ni, Cr, Mo, Cu, V. Valid 0.10-0.90 %C, grain size 7;
    a fine grain has 14-22 % less. The standard's own example, a modified 4118, gives 1.95 in:
    >>> base = {"c_pct": 0.22, "mn_pct": 0.80, "si_pct": 0.18, "ni_pct": 0.10, "cr_pct": 0.43}
    >>> example = Alloy(mo_pct=0.25, v_pct=0.05, **base)
    >>> round(ideal_diameter_inch(example, cu_pct=0.10), 2)
    1.93

    Reference: astmA255.
    """
    product = carbon_factor_inch(alloy.c_pct) * manganese_factor(alloy.mn_pct) * nickel_factor(alloy.ni_pct)
    product *= (1.0 + 0.7 * alloy.si_pct) * (1.0 + 2.16 * alloy.cr_pct) * (1.0 + 3.0 * alloy.mo_pct)
    return product * (1.0 + 0.365 * cu_pct) * (1.0 + 1.73 * alloy.v_pct)


def in_solution(stock: Stock, *, austenitise_c: float, of: Alloy | None = None) -> Alloy:
    """Return what the austenite holds: the dissolved carbon, and chromium and vanadium in the same share.

    Of the bar's own analysis, or of one end of its steel's range.
    """
    alloy = stock.nominal if of is None else of
    dissolved = dissolved_carbon_pct(austenitise_c, alloy=alloy, row=stock.row)
    share = dissolved / alloy.c_pct
    return Alloy(
        c_pct=dissolved,
        mn_pct=alloy.mn_pct,
        si_pct=alloy.si_pct,
        cr_pct=alloy.cr_pct * share,
        ni_pct=alloy.ni_pct,
        mo_pct=alloy.mo_pct,
        v_pct=alloy.v_pct * share,
        w_pct=alloy.w_pct * share,
    )


def half_temperature_time(biot: float) -> float:
    """Dimensionless time for the centre of a plate to lose half its heat (first term of the exact series).

    >>> round(half_temperature_time(1e6), 4)
    0.3788
    """
    low, high = 0.0, math.pi / 2.0 - 1e-12
    for _ in range(60):
        z = (low + high) / 2.0
        if z * math.sin(z) < biot * math.cos(z):
            low = z
        else:
            high = z
    z = (low + high) / 2.0
    weight = 4.0 * math.sin(z) / (2.0 * z + math.sin(2.0 * z))
    return math.log(2.0 * weight) / (z * z)


def plate_mm(diameter_mm: float, *, severity_per_inch: float) -> float:
    """Thickest plate with half martensite at the centre in a bath of a given severity.

    Equation: equal time for the centre to lose half of its heat, Bi = H times thickness. The lower bound of
    the verdict: practice hardens 1.5-2 times as much in fast oil.
    >>> round(plate_mm(1.25 * 25.4, severity_per_inch=0.35) / 25.4, 3)
    0.154

    Reference: astmA255, grossmannTable.
    """
    ideal = IDEAL_ROUND_TIME * diameter_mm * diameter_mm
    low, high = 0.0, diameter_mm
    for _ in range(40):
        middle = (low + high) / 2.0
        biot = severity_per_inch / MM_PER_INCH * middle
        if half_temperature_time(biot) * middle * middle < ideal:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
