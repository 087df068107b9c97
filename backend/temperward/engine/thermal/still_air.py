"""How long a thin blade takes to cool in still air, by integrating over temperature instead of time."""

from __future__ import annotations

from temperward.engine.interpolate import held
from temperward.engine.thermal.media import medium_row
from temperward.engine.thermal.steel_heat import (
    DENSITY_KG_M3,
    WARM_CP,
    cooling_enthalpy_j_kg,
    radiation_w_m2k,
)

WARM_CONVECTION = 8.0  # W/m2K, still air below 300 degC (quenchHtc: 8-12)
COLD_ENOUGH_C, HAND_WARM_C = 50.0, 65.0  # practice


def warm_cooling_s(
    *,
    thickness_mm: float,
    from_c: float,
    to_c: float,
    ambient_c: float = 20.0,
    convection: float = WARM_CONVECTION,
) -> float:
    """Time of a blade in still air between two temperatures under 380 degC, no heat of change.

    Equation: t = integral of rho c (thickness/2) dT / ((h + h_rad)(T - Ta)), by Simpson's rule.
    In: mm, degC. Valid 0.5-12 mm. Error +-20 % (h 8-12). 4.2 mm from 250 to 203.5:
    >>> round(warm_cooling_s(thickness_mm=4.2, from_c=250.0, to_c=203.5))
    97

    Reference: radiation, quenchHtc.
    """
    if to_c >= from_c:
        return 0.0
    steps = 2 * (2 + int((from_c - to_c) / 20.0))
    width = (from_c - to_c) / steps
    total = 0.0
    for k in range(steps + 1):
        t = to_c + k * width
        weight = 1.0 if k in (0, steps) else (4.0 if k % 2 == 1 else 2.0)
        total += weight / ((convection + radiation_w_m2k(t, ambient_c=ambient_c)) * (t - ambient_c))
    return DENSITY_KG_M3 * WARM_CP * thickness_mm / 2000.0 * total * width / 3.0


def cycle_cooling_s(
    *, thickness_mm: float, from_c: float, to_c: float = COLD_ENOUGH_C, ambient_c: float = 20.0
) -> float:
    """Time of a blade in still air from a heat down to cold enough to hold, the heat of the change included.

    Equation: t = rho (thickness/2) sum of dH / q over pieces of 20 K. In: mm, degC. Error +-20 %.
    A 2.5 mm blade from 900 to 718 degC, which a smith worked out as 19 s:
    >>> round(cycle_cooling_s(thickness_mm=2.5, from_c=900.0, to_c=718.0))
    17

    Reference: en1993, radiation, quenchHtc.
    """
    if to_c >= from_c:
        return 0.0
    table = medium_row("still_air")["heat_transfer"]
    pieces = 1 + int((from_c - to_c) / 20.0)
    width = (from_c - to_c) / pieces
    total = 0.0
    upper_j = cooling_enthalpy_j_kg(from_c)
    for k in range(pieces):
        middle = from_c - (k + 0.5) * width
        lower_j = cooling_enthalpy_j_kg(from_c - (k + 1) * width)
        h = held(table, middle) + radiation_w_m2k(middle, ambient_c=ambient_c)
        total += (upper_j - lower_j) / (h * (middle - ambient_c))
        upper_j = lower_j
    return DENSITY_KG_M3 * thickness_mm / 2000.0 * total


def air_rate_k_s(*, thickness_mm: float, at_c: float = 800.0, ambient_c: float = 20.0) -> float:
    """Cooling rate of a red edge in still air, in kelvin per second, before it changes."""
    table = medium_row("still_air")["heat_transfer"]
    h = held(table, at_c) + radiation_w_m2k(at_c, ambient_c=ambient_c)
    return 2000.0 * h * (at_c - ambient_c) / (DENSITY_KG_M3 * 650.0 * thickness_mm)


TRANSFER_END_C = 720.0  # design: where pearlite becomes possible in the edge


def transfer_limit_s(*, edge_mm: float, from_c: float, ambient_c: float = 20.0) -> float:
    """Time for the edge to fall from the hardening heat to 720 degC on its way to the bath.

    Equation: mean of the rates at both ends. In: mm, degC. Error +-30 %.
    >>> round(transfer_limit_s(edge_mm=1.0, from_c=815.0), 1)
    3.9

    Reference: radiation, quenchHtc.
    """
    if from_c <= TRANSFER_END_C:
        return 0.0
    middle = (from_c + TRANSFER_END_C) / 2.0
    return (from_c - TRANSFER_END_C) / air_rate_k_s(thickness_mm=edge_mm, at_c=middle, ambient_c=ambient_c)
