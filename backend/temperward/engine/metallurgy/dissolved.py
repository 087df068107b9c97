"""Carbon that goes into the austenite at the hardening heat; the rest stays in carbide."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine.interpolate import along
from temperward.engine.metallurgy.alloys import Alloy, Stock
from temperward.engine.quantities import banded, note

# 90 % band for steels that keep carbide, in weight percent (msDatabase2022: scatter of Ms read back).
CARBIDE_BAND_PCT = 0.08
# Shift of the line along which carbide dissolves, per weight percent: least squares of ours through the
# computed lines of seven steels (equilibrium2025), error under 0.03 %C.
SHIFT_PER_MN, SHIFT_PER_CR, SHIFT_PER_NI = -0.05, -0.11, -0.02


def iron_carbon_saturation_pct(temperature_c: float) -> float:
    """Carbon of plain austenite where cementite begins.

    Equation: C = 0.795 + 0.00264 (T - 740). In: degC. Valid 727-900; error under 0.01 %C to 860.
    >>> round(iron_carbon_saturation_pct(800.0), 3)
    0.953

    Reference: equilibrium2025.
    """
    return 0.795 + 0.00264 * (temperature_c - 740.0)


def saturation_pct(temperature_c: float, *, alloy: Alloy, row: dict[str, Any] | None) -> float:
    """Most carbon the austenite of this steel can hold: its own computed line, else the general one."""
    points = [] if row is None else row["saturation"]
    if len(points) > 1:
        return along(points, temperature_c)
    shift = SHIFT_PER_MN * alloy.mn_pct + SHIFT_PER_CR * alloy.cr_pct + SHIFT_PER_NI * alloy.ni_pct
    return iron_carbon_saturation_pct(temperature_c) + shift


def dissolved_carbon_pct(temperature_c: float, *, alloy: Alloy, row: dict[str, Any] | None) -> float:
    """Carbon in solution after an ordinary soak.

    Equation: the least of (carbon - carbon held in lasting carbide), the saturation line, and, for a steel
    whose carbide dissolves slowly, the cap seen in its measured martensite start. In: degC, weight percent.
    Valid from the change to 1000 degC. Error +-0.08 %C where carbide is left.
    Reference: equilibrium2025, msDatabase2022.
    """
    held = 0.0 if row is None else row["held_in_carbide_pct"]
    dissolved: float = min(alloy.c_pct - held, saturation_pct(temperature_c, alloy=alloy, row=row))
    cap = None if row is None else row["short_soak_cap_pct"]
    if cap is not None and cap < dissolved:
        return float(cap)
    return dissolved


def keeps_carbide(temperature_c: float, *, alloy: Alloy, row: dict[str, Any] | None) -> bool:
    """Tell whether part of the carbon stays in carbide."""
    return dissolved_carbon_pct(temperature_c, alloy=alloy, row=row) < alloy.c_pct - 0.01


def dissolved_carbon(stock: Stock, *, austenitise_c: float) -> dict[str, Any]:
    """Return the dissolved carbon with its band: model and the steel's own range together."""
    value = dissolved_carbon_pct(austenitise_c, alloy=stock.nominal, row=stock.row)
    lean = dissolved_carbon_pct(austenitise_c, alloy=stock.lean, row=stock.row)
    rich = dissolved_carbon_pct(austenitise_c, alloy=stock.rich, row=stock.row)
    notes = []
    sources = ["equilibrium2025"]
    spread = 0.02  # a mill's own analysis of carbon (fromMemory)
    if keeps_carbide(austenitise_c, alloy=stock.nominal, row=stock.row) or value > 0.8:
        spread = CARBIDE_BAND_PCT
        notes.append(note("note.carbide_left", {"carbon_pct": stock.nominal.c_pct}))
    if stock.row is not None and stock.row["short_soak_cap_pct"] == value:
        sources = ["msDatabase2022", "equilibrium2025"]
        notes.append(note("note.slow_carbide"))
    below = math.sqrt(spread * spread + (value - min(lean, value)) ** 2)
    above = math.sqrt(spread * spread + (max(rich, value) - value) ** 2)
    return banded(value, unit="pct", low=value - below, high=value + above, sources=sources, notes=notes)
