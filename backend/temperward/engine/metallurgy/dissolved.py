"""Carbon that goes into the austenite at the hardening heat; the rest stays in carbide."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine.interpolate import along
from temperward.engine.metallurgy.alloys import Alloy, Stock
from temperward.engine.quantities import banded, note

# 90 % band for steels that keep carbide, in weight percent (msDatabase2022: scatter of Ms read back).
CARBIDE_BAND_PCT = 0.08
VANADIUM_HOLDS = 0.236  # weight of carbon by that of vanadium in VC, 12.011 / 50.94 (definition)
# Shift of the line along which carbide dissolves, per weight percent: least squares of ours through the
# computed lines of seven steels (equilibrium2025), error under 0.03 %C.
SHIFT_PER_MN, SHIFT_PER_CR, SHIFT_PER_NI = -0.05, -0.11, -0.02
# Chromium carbide dissolves slowly: measured starts of three heats of 52100 (241-249 degC) and of one with
# 0.86 %C, 1.62 %Cr (220 degC) mean 0.70-0.73 %C after an ordinary soak (msDatabase2022). Read for 1.3 % and
# more; between 1.0 and 1.3 % a straight line (design).
SOAK_CAP_PCT, SLOW_FROM_CR_PCT, SLOW_ALL_CR_PCT = 0.70, 1.0, 1.3
# To here the cap is measured: the upper end of the ordinary heat (page52100). Over it a straight line to
# where equilibrium has no carbide left, a short soak as much hotter later (design): a start of 145 degC was
# measured after a solution heat.
SOAK_CAP_MOST_C, LEAST_TO_FULL_K, SHORT_SOAK_K = 845.0, 40.0, 60.0


def iron_carbon_saturation_pct(temperature_c: float) -> float:
    """Carbon of plain austenite where cementite begins.

    Equation: C = 0.795 + 0.00264 (T - 740), steeper by 0.00038 over 860. In: degC. Valid 727-1000; error
    under 0.01 %C.
    >>> round(iron_carbon_saturation_pct(800.0), 3)
    0.953

    Reference: equilibrium2025.
    """
    return 0.795 + 0.00264 * (temperature_c - 740.0) + 0.00038 * max(0.0, temperature_c - 860.0)


def iron_carbon_saturated_c(carbon_pct: float) -> float:
    """Temperature at which plain austenite holds just this carbon: the same line the other way round.

    >>> round(iron_carbon_saturated_c(0.953)), round(iron_carbon_saturated_c(1.535))
    (800, 1000)

    Reference: equilibrium2025.
    """
    at_c = 740.0 + (carbon_pct - 0.795) / 0.00264
    return at_c if at_c <= 860.0 else 860.0 + (at_c - 860.0) * 0.00264 / 0.00302


def alloy_shift_pct(alloy: Alloy) -> float:
    """Return how far this analysis moves the line along which carbide dissolves, in weight percent."""
    return SHIFT_PER_MN * alloy.mn_pct + SHIFT_PER_CR * alloy.cr_pct + SHIFT_PER_NI * alloy.ni_pct


def own_line(row: dict[str, Any] | None) -> list[list[float]]:
    """Return the steel's own computed line, empty where it has none."""
    return [] if row is None else list(row["saturation"])


def usual_pct(name: str, *, row: dict[str, Any]) -> float:
    """Return what the steel's line was computed with of one element."""
    found = row["composition"]
    return float(found[name]["nominal"]) if name in found else 0.0


def moved_pct(alloy: Alloy, *, row: dict[str, Any] | None) -> float:
    """Return how far an analysis moves its steel's own line from where it was computed."""
    if row is None:
        return 0.0
    usual = Alloy(
        c_pct=alloy.c_pct,
        mn_pct=usual_pct("mn", row=row),
        cr_pct=usual_pct("cr", row=row),
        ni_pct=usual_pct("ni", row=row),
    )
    return alloy_shift_pct(alloy) - alloy_shift_pct(usual)


def saturation_pct(temperature_c: float, *, alloy: Alloy, row: dict[str, Any] | None) -> float:
    """Most carbon the austenite of this steel can hold: its own computed line, else the general one."""
    points = own_line(row)
    if len(points) > 1:
        return along(points, temperature_c) + moved_pct(alloy, row=row)
    return iron_carbon_saturation_pct(temperature_c) + alloy_shift_pct(alloy)


def most_carbon_pct(alloy: Alloy, *, row: dict[str, Any] | None) -> float:
    """Return the carbon that any heat could dissolve: all but what vanadium holds."""
    held = 0.0 if row is None else float(row["held_in_carbide_pct"])
    if row is not None and held > 0.0:
        held *= alloy.v_pct / usual_pct("v", row=row)
    return alloy.c_pct - held


def full_solution_c(alloy: Alloy, *, row: dict[str, Any] | None) -> float:
    """Temperature at which the last cementite dissolves: the saturation line solved for the bar's carbon.

    In: weight percent. Error +-10 degC (equilibrium). Reference: equilibrium2025.
    """
    carbon = most_carbon_pct(alloy, row=row)
    points = own_line(row)
    if len(points) < 2:
        return iron_carbon_saturated_c(carbon - alloy_shift_pct(alloy))
    carbon -= moved_pct(alloy, row=row)
    k = 0
    while k < len(points) - 2 and carbon > points[k + 1][1]:
        k += 1
    slope = (points[k + 1][1] - points[k][1]) / (points[k + 1][0] - points[k][0])
    return float(points[k][0] + (carbon - points[k][1]) / slope)


def slow_share(alloy: Alloy) -> float:
    """Return how far this analysis counts as one whose carbide dissolves slowly: 0 to 1, by its chromium.

    >>> slow_share(Alloy(c_pct=1.0, cr_pct=1.45)), slow_share(Alloy(c_pct=0.9, cr_pct=0.5))
    (1.0, 0.0)
    """
    share = (alloy.cr_pct - SLOW_FROM_CR_PCT) / (SLOW_ALL_CR_PCT - SLOW_FROM_CR_PCT)
    return min(1.0, max(0.0, share))


def soak_cap_pct(temperature_c: float, *, alloy: Alloy, row: dict[str, Any] | None) -> float:
    """Return the most that an ordinary soak dissolves of slow carbide at this heat."""
    most = max(SOAK_CAP_PCT, most_carbon_pct(alloy, row=row))
    full_c = max(full_solution_c(alloy, row=row), SOAK_CAP_MOST_C + LEAST_TO_FULL_K)
    risen = (temperature_c - SOAK_CAP_MOST_C) / (full_c - SOAK_CAP_MOST_C)
    return SOAK_CAP_PCT + (most - SOAK_CAP_PCT) * min(1.0, max(0.0, risen))


def dissolved_carbon_pct(temperature_c: float, *, alloy: Alloy, row: dict[str, Any] | None) -> float:
    """Carbon in solution after an ordinary soak.

    Equation: the least of (carbon - carbon held in lasting carbide), the saturation line, and, where chromium
    makes carbide dissolve slowly, the cap seen in measured martensite starts: 0.70 % to 845 degC, then
    rising to all of it where equilibrium has no carbide left. In: degC, weight percent.
    Valid from the change to 1000 degC. Error +-0.08 %C where carbide is left.
    >>> bearing = Alloy(c_pct=1.0, mn_pct=0.35, si_pct=0.25, cr_pct=1.45)
    >>> [round(dissolved_carbon_pct(heat_c, alloy=bearing, row=None), 2) for heat_c in (840.0, 1000.0)]
    [0.7, 1.0]

    Reference: equilibrium2025, msDatabase2022.
    """
    line = in_equilibrium_pct(temperature_c, alloy=alloy, row=row)
    share = slow_share(alloy)
    if share <= 0.0:
        return line
    return line - share * (line - min(line, soak_cap_pct(temperature_c, alloy=alloy, row=row)))


def in_equilibrium_pct(temperature_c: float, *, alloy: Alloy, row: dict[str, Any] | None) -> float:
    """Return the carbon that a soak without end dissolves."""
    return min(most_carbon_pct(alloy, row=row), saturation_pct(temperature_c, alloy=alloy, row=row))


def soak_ends_pct(
    temperature_c: float, *, alloy: Alloy, row: dict[str, Any] | None
) -> tuple[float, float] | None:
    """Return what a short and an endless soak dissolve of slow carbide over its usual heat; else nothing."""
    if temperature_c <= SOAK_CAP_MOST_C or slow_share(alloy) <= 0.0:
        return None
    line = in_equilibrium_pct(temperature_c, alloy=alloy, row=row)
    short = min(line, soak_cap_pct(temperature_c - SHORT_SOAK_K, alloy=alloy, row=row))
    return line - slow_share(alloy) * (line - short), line


def keeps_carbide(temperature_c: float, *, alloy: Alloy, row: dict[str, Any] | None) -> bool:
    """Tell whether part of the carbon stays in carbide."""
    return dissolved_carbon_pct(temperature_c, alloy=alloy, row=row) < alloy.c_pct - 0.01


def dissolved_carbon(stock: Stock, *, austenitise_c: float) -> dict[str, Any]:
    """Return the dissolved carbon with its band: model and the steel's own range together."""
    value = dissolved_carbon_pct(austenitise_c, alloy=stock.nominal, row=stock.row)
    lean = dissolved_carbon_pct(austenitise_c, alloy=stock.lean, row=stock.row)
    rich = dissolved_carbon_pct(austenitise_c, alloy=stock.rich, row=stock.row)
    notes = []
    ends = soak_ends_pct(austenitise_c, alloy=stock.nominal, row=stock.row)
    if ends is not None:
        lean, rich = min(lean, ends[0]), max(rich, ends[1])
        notes.append(note("note.soak_decides", {"ordinary_c": SOAK_CAP_MOST_C}))
    if stock.row is None:
        # Vanadium carbide lasts; how much of it there is, only a steel's own line knows (equilibrium2025).
        lean = min(lean, value - VANADIUM_HOLDS * stock.nominal.v_pct)
    sources = ["equilibrium2025"]
    spread = 0.02  # a mill's own analysis of carbon (fromMemory)
    if keeps_carbide(austenitise_c, alloy=stock.nominal, row=stock.row):
        spread = CARBIDE_BAND_PCT
        notes.append(note("note.carbide_left", {"carbon_pct": stock.nominal.c_pct}))
    elif value > 0.8:
        spread = CARBIDE_BAND_PCT
        notes.append(note("note.all_dissolves"))
    if value < in_equilibrium_pct(austenitise_c, alloy=stock.nominal, row=stock.row) - 0.001:
        sources = ["msDatabase2022", "equilibrium2025"]
        notes.append(note("note.slow_carbide"))
    below = math.sqrt(spread * spread + (value - min(lean, value)) ** 2)
    above = math.sqrt(spread * spread + (max(rich, value) - value) ** 2)
    return banded(value, unit="pct", low=value - below, high=value + above, sources=sources, notes=notes)
