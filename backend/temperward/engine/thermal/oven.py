"""How long a blade takes to come up to the heat of an oven."""

from __future__ import annotations

from typing import Any

from temperward.engine.quantities import banded, note
from temperward.engine.thermal.steel_heat import DENSITY_KG_M3, WARM_CP, radiation_w_m2k

CONVECTION, CONVECTION_LOW, CONVECTION_HIGH = 10.0, 6.0, 25.0  # quenchHtc; a fan reaches the upper end
OVEN_EMISSIVITY, BRIGHT_EMISSIVITY = 0.8, 0.3  # radiation: oxidised, and ground bright
WITHIN_K = 5.0  # design: the hold starts when the blade is this near


def heat_up_s(
    *,
    thickness_mm: float,
    oven_c: float,
    from_c: float = 20.0,
    convection: float = CONVECTION,
    emissivity: float = OVEN_EMISSIVITY,
) -> float:
    """Time until a blade is within 5 K of the oven.

    Equation: t = integral of rho c (thickness/2) dT / ((h + h_rad)(oven - T)), by 40 pieces that
    halve towards the end. In: mm, degC. Valid 100-300 degC, 0.5-12 mm. Error: see the band.
    >>> round(heat_up_s(thickness_mm=4.0, oven_c=200.0) / 60.0)
    18

    Reference: radiation, quenchHtc.
    """
    away = oven_c - from_c
    if away <= WITHIN_K:
        return 0.0
    pieces = 40
    share = (WITHIN_K / away) ** (1.0 / pieces)
    total = 0.0
    for _ in range(pieces):
        nearer = away * share
        middle_c = oven_c - (away + nearer) / 2.0
        h = convection + radiation_w_m2k(middle_c, ambient_c=oven_c, emissivity=emissivity)
        total += (away - nearer) / (h * (away + nearer) / 2.0)
        away = nearer
    return DENSITY_KG_M3 * WARM_CP * thickness_mm / 2000.0 * total


def heat_up(*, thickness_mm: float, oven_c: float) -> dict[str, Any]:
    """Return the heat-up with its band: a fan and dark steel, still air and bright steel."""
    return banded(
        heat_up_s(thickness_mm=thickness_mm, oven_c=oven_c),
        unit="s",
        low=heat_up_s(thickness_mm=thickness_mm, oven_c=oven_c, convection=CONVECTION_HIGH),
        high=heat_up_s(
            thickness_mm=thickness_mm,
            oven_c=oven_c,
            convection=CONVECTION_LOW,
            emissivity=BRIGHT_EMISSIVITY,
        ),
        sources=["radiation", "quenchHtc"],
        notes=[note("note.hold_starts_at_heat")],
        coverage=None,
    )
