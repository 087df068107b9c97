"""How long a blade stays in the bath: to the lift temperature at its thickest hardening place."""

from __future__ import annotations

from typing import Any

from temperward.engine.interpolate import held
from temperward.engine.quantities import banded, note
from temperward.engine.thermal.media import medium_row
from temperward.engine.thermal.steel_heat import COOLING_CP, DENSITY_KG_M3, conductivity_w_mk

LIFT_C, LIFT_ABOVE_MS_K, LIFT_MOST_C = 260.0, 25.0, 300.0  # practice
HOLD_BAND = 0.5  # quenchHtc: the table is from memory, so half as long or half as long again


def lift_c(ms_c: float) -> float:
    """Temperature at which to lift for straightening: 260 degC, or Ms + 25 where hotter, never above 300.

    >>> lift_c(207.0), lift_c(264.1), lift_c(300.0)
    (260.0, 289.1, 300.0)
    """
    return min(max(LIFT_C, ms_c + LIFT_ABOVE_MS_K), LIFT_MOST_C)


def cooling_curve(
    medium: str,
    *,
    thickness_mm: float,
    from_c: float,
    bath_c: float,
    to_c: float,
    multiplier: float = 1.0,
) -> list[list[float]]:
    """Points [time_s, surface_c, centre_c] of a plate in a bath until its centre is down to to_c.

    Equation: heat balance of the half section with a parabolic profile, integrated over temperature in pieces
    of 12 K: q = (Tm - Tb) / (1/h + L/3k), centre = Tm + qL/6k, surface = Tm - qL/3k. In: mm, degC, s. For
    Bi = hL/k under about 1; within 4 % of the full conduction run for blades. Error +-50 % (the h table).
    Reference: quenchHtc, en1993.
    """
    table = medium_row(medium)["heat_transfer"]
    half_m = thickness_mm / 2000.0
    store = DENSITY_KG_M3 * COOLING_CP * half_m
    mean = from_c
    time_s = 0.0
    points = [[0.0, from_c, from_c]]
    surface = from_c
    centre = from_c
    while centre > to_c and len(points) < 400:
        step = min(12.0, max(0.02 * (mean - bath_c), 0.05))
        k = conductivity_w_mk(mean)
        for _ in range(2):
            h = multiplier * held(table, surface)
            q = (mean - 0.5 * step - bath_c) / (1.0 / h + half_m / (3.0 * k))
            surface = mean - 0.5 * step - q * half_m / (3.0 * k)
        time_s += store * step / q
        mean -= step
        centre = mean + q * half_m / (6.0 * k)
        points.append([time_s, mean - q * half_m / (3.0 * k), centre])
    return points


def bath_hold_s(medium: str, *, thickness_mm: float, from_c: float, bath_c: float, to_c: float) -> float:
    """Time in the bath until the centre of the thickest hardening place is down to a temperature.

    6 mm in medium oil takes about 26 s to 260 degC and 21 s to 290. Error +-50 %.
    """
    points = cooling_curve(medium, thickness_mm=thickness_mm, from_c=from_c, bath_c=bath_c, to_c=to_c)
    if len(points) < 2:
        return 0.0
    (t0, _, c0), (t1, _, c1) = points[-2], points[-1]
    return t0 + (t1 - t0) * (c0 - to_c) / (c0 - c1)


def centre_after_c(
    medium: str, *, thickness_mm: float, from_c: float, bath_c: float, hold_s: float, least_c: float
) -> float:
    """Temperature of a plate's centre after a time in the bath; about least_c for all that is colder.

    The same equation, read the other way round; within +-50 % of the time.
    >>> facts = {"thickness_mm": 6.0, "from_c": 830.0, "bath_c": 52.0, "least_c": 200.0}
    >>> [round(centre_after_c("medium_oil", hold_s=time_s, **facts)) for time_s in (0.0, 22.1)]
    [830, 289]

    Reference: quenchHtc, en1993.
    """
    if from_c <= max(least_c, bath_c + 1.0):
        return from_c
    points = cooling_curve(
        medium, thickness_mm=thickness_mm, from_c=from_c, bath_c=bath_c, to_c=max(least_c, bath_c + 1.0)
    )
    for k in range(1, len(points)):
        (t0, _, c0), (t1, _, c1) = points[k - 1], points[k]
        if t1 >= hold_s:
            return c0 + (c1 - c0) * (hold_s - t0) / (t1 - t0)
    return points[-1][2]


def bath_hold(
    medium: str, *, thickness_mm: float, from_c: float, bath_c: float, to_c: float
) -> dict[str, Any]:
    """Return the bath hold with its band."""
    value = bath_hold_s(medium, thickness_mm=thickness_mm, from_c=from_c, bath_c=bath_c, to_c=to_c)
    return banded(
        value,
        unit="s",
        low=value * (1.0 - HOLD_BAND),
        high=value * (1.0 + HOLD_BAND),
        sources=["quenchHtc", "en1993"],
        notes=[note("note.hold_until_own_figure"), note("note.hold_cue")],
        coverage=None,
    )
