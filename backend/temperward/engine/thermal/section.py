"""Conduction through the half section of a plate, one implicit step at a time."""

from __future__ import annotations

import math

from temperward.engine.thermal.steel_heat import COOLING_CP, DENSITY_KG_M3

INTERVALS = 14  # design: checked against the exact series to 1e-3 of the drop (Bi to 10)
# Two stages of second order that damp what a step cannot resolve: gamma = 1 - 1/sqrt(2) (definition).
GAMMA = 1.0 - 1.0 / math.sqrt(2.0)


def step_section(
    above_k: list[float],
    *,
    step_s: float,
    width_m: float,
    conductivity: float,
    transfer: float,
    given_off_j_m3: list[float] | None = None,
) -> list[float]:
    """Return the temperatures above the bath after one step; node 0 is the centre, the last the surface.

    Equation: C dT/dt = -A T + source, by two implicit stages with one factored matrix. given_off is the heat
    the change gives off at each node during the step. In: K above the bath, s, m, W/mK, W/m2K, J/m3.
    Reference: exact series of the plate (definition), to 1e-3.
    """
    last = len(above_k) - 1
    store = DENSITY_KG_M3 * COOLING_CP * width_m
    g = GAMMA * step_s * conductivity / width_m
    surface = GAMMA * step_s * transfer
    held = [store] * (last + 1)
    held[0] = held[last] = store / 2.0
    warmed = [0.0] * (last + 1)
    if given_off_j_m3 is not None:
        for k in range(last + 1):
            warmed[k] = given_off_j_m3[k] * held[k] / (DENSITY_KG_M3 * COOLING_CP)
    pivots = [held[0] + g]
    for k in range(1, last + 1):
        right = g if k < last else surface
        pivots.append(held[k] + g + right - g * g / pivots[k - 1])
    middle = solve_section(
        [held[k] * above_k[k] + GAMMA * warmed[k] for k in range(last + 1)], pivots=pivots, g=g
    )
    carry = (1.0 - GAMMA) / GAMMA
    return solve_section(
        [
            held[k] * (above_k[k] + carry * (middle[k] - above_k[k])) + GAMMA * warmed[k]
            for k in range(last + 1)
        ],
        pivots=pivots,
        g=g,
    )


def solve_section(right: list[float], *, pivots: list[float], g: float) -> list[float]:
    """Solve the factored tridiagonal system; right is used up."""
    last = len(right) - 1
    for k in range(1, last + 1):
        right[k] += g / pivots[k - 1] * right[k - 1]
    right[last] /= pivots[last]
    for k in range(last - 1, -1, -1):
        right[k] = (right[k] + g * right[k + 1]) / pivots[k]
    return right
