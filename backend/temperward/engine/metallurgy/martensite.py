"""Where martensite starts, how much there is, and how much austenite is left."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine.metallurgy.alloys import Alloy, Stock, composition_sources
from temperward.engine.metallurgy.dissolved import dissolved_carbon_pct, keeps_carbide, soak_ends_pct
from temperward.engine.quantities import banded, note

# 90 % of the formula's errors against measured starts (msDatabase2022), by dissolved carbon, in kelvin.
MS_BAND_TO_070_K, MS_BAND_TO_090_K, MS_BAND_ABOVE_K = 31.0, 33.0, 63.0
KOISTINEN_MARBURGER_PER_K = 0.011  # koistinenMarburger1959
RETAINED_BAND = 0.05  # absolute (msDatabase2022 discussion; fromMemory)


def martensite_start_c(alloy: Alloy, *, dissolved_pct: float) -> float:
    """Temperature at which martensite starts.

    Equation: Ms = 565 - 31Mn - 13Si - 10Cr - 18Ni - 12Mo - 600 (1 - exp(-0.96 C)). In: weight percent, carbon
    as dissolved. Valid C 0.25-1.1, Mn, Cr to 2, Si 2.2, Ni 2.5, Mo 0.6. Errors: see the band.
    >>> round(martensite_start_c(Alloy(c_pct=0.79, mn_pct=0.76), dissolved_pct=0.79), 1)
    222.5

    Reference: vanBohemen2012.
    """
    alloyed = 31.0 * alloy.mn_pct + 13.0 * alloy.si_pct + 10.0 * alloy.cr_pct
    alloyed += 18.0 * alloy.ni_pct + 12.0 * alloy.mo_pct
    return 565.0 - alloyed - 600.0 * (1.0 - math.exp(-0.96 * dissolved_pct))


def ms_band_k(dissolved_pct: float) -> float:
    """Half width that held nine of ten measured starts, in kelvin, by the carbon dissolved."""
    if dissolved_pct >= 0.90:
        return MS_BAND_ABOVE_K
    return MS_BAND_TO_090_K if dissolved_pct >= 0.70 else MS_BAND_TO_070_K


def fraction_at(temperature_c: float, *, ms_c: float) -> float:
    """Part of the austenite that is martensite at a temperature.

    Equation: f = 1 - exp(-0.011 (Ms - T)), 0 above Ms. In: degC. Error +-0.05 absolute.
    >>> round(fraction_at(20.0, ms_c=220.0), 4)
    0.8892

    Reference: koistinenMarburger1959.
    """
    if temperature_c >= ms_c:
        return 0.0
    return 1.0 - math.exp(-KOISTINEN_MARBURGER_PER_K * (ms_c - temperature_c))


def temperature_at_fraction_c(fraction: float, *, ms_c: float) -> float:
    """Temperature at which a part of the austenite has become martensite: the inverse of fraction_at.

    >>> round(temperature_at_fraction_c(0.5, ms_c=203.5), 1)
    140.5
    """
    return ms_c + math.log(1.0 - fraction) / KOISTINEN_MARBURGER_PER_K


def martensite_start(stock: Stock, *, austenitise_c: float) -> dict[str, Any]:
    """Return Ms with its band: the formula's and the steel's own range, as root of the sum of squares."""
    dissolved = dissolved_carbon_pct(austenitise_c, alloy=stock.nominal, row=stock.row)
    value = martensite_start_c(stock.nominal, dissolved_pct=dissolved)
    ends = []
    for alloy in [stock.lean, stock.rich]:
        carbon = dissolved_carbon_pct(austenitise_c, alloy=alloy, row=stock.row)
        ends.append(martensite_start_c(alloy, dissolved_pct=carbon))
    soak = soak_ends_pct(austenitise_c, alloy=stock.nominal, row=stock.row)
    if soak is not None:
        by_soak = [martensite_start_c(stock.nominal, dissolved_pct=carbon) for carbon in soak]
        ends = [max(ends[0], by_soak[0]), min(ends[1], by_soak[1])]
    model = ms_band_k(dissolved)
    left = keeps_carbide(austenitise_c, alloy=stock.nominal, row=stock.row)
    below = math.sqrt(model * model + (value - ends[1]) ** 2)
    above = math.sqrt(model * model + (ends[0] - value) ** 2)
    return banded(
        value,
        unit="degC",
        low=value - below,
        high=value + above,
        sources=["vanBohemen2012", "msDatabase2022"] + composition_sources(stock),
        notes=[note("note.ms_dissolved", {"dissolved_pct": dissolved})] if left else [],
    )


def retained_austenite(ms: dict[str, Any], *, to_c: float) -> dict[str, Any]:
    """Return the austenite left after cooling to a temperature, in percent."""
    value = 100.0 * (1.0 - fraction_at(to_c, ms_c=ms["value"]))
    low = 100.0 * (1.0 - fraction_at(to_c, ms_c=ms["high"])) - 100.0 * RETAINED_BAND
    high = 100.0 * (1.0 - fraction_at(to_c, ms_c=ms["low"])) + 100.0 * RETAINED_BAND
    return banded(
        value,
        unit="pct",
        low=max(0.0, low),
        high=min(100.0, high),
        sources=["koistinenMarburger1959"],
        notes=[note("note.retained_slow_cooling")],
    )
