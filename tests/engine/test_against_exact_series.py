"""Conduction against the exact series of a plate, against SciPy, and the heat in steel against EN 1993-1-2.

slab_exact_series.csv: eighty terms of the exact series, computed; its first terms agree with textbook tables.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import readings
from scipy.integrate import quad, solve_ivp

from temperward.engine.interpolate import held
from temperward.engine.thermal.bath_hold import bath_hold_s, cooling_curve
from temperward.engine.thermal.media import medium_row
from temperward.engine.thermal.oven import heat_up_s
from temperward.engine.thermal.section import INTERVALS, step_section
from temperward.engine.thermal.steel_heat import (
    COOLING_CP,
    DENSITY_KG_M3,
    conductivity_w_mk,
    enthalpy_j_kg,
    radiation_w_m2k,
)

CONDUCTIVITY, HALF_M = 30.0, 0.003
DIFFUSIVITY = CONDUCTIVITY / (DENSITY_KG_M3 * COOLING_CP)
ROWS = readings.rows("slab_exact_series")


def plate(*, biot: float, fourier: float, intervals: int, steps: int, growth: float) -> tuple[float, float]:
    """Return (centre, surface) after a dimensionless time, by steps that grow."""
    above = [1.0] * (intervals + 1)
    total_s = fourier * HALF_M * HALF_M / DIFFUSIVITY
    step_s = total_s * (growth - 1.0) / (growth**steps - 1.0)
    for _ in range(steps):
        above = step_section(
            above,
            step_s=step_s,
            width_m=HALF_M / intervals,
            conductivity=CONDUCTIVITY,
            transfer=biot * CONDUCTIVITY / HALF_M,
        )
        step_s *= growth
    return above[0], above[-1]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"Bi {row['biot']} Fo {row['fourier']}")
def test_the_method_against_the_exact_series(row: dict[str, str]) -> None:
    centre, surface = plate(
        biot=float(row["biot"]), fourier=float(row["fourier"]), intervals=40, steps=400, growth=1.02
    )
    assert centre == pytest.approx(float(row["theta_centre"]), abs=1e-3)
    assert surface == pytest.approx(float(row["theta_surface"]), abs=1e-3)


@pytest.mark.parametrize(
    "row",
    [row for row in ROWS if float(row["biot"]) <= 2.0],
    ids=lambda row: f"Bi {row['biot']} Fo {row['fourier']}",
)
def test_the_steps_in_use_against_the_exact_series(row: dict[str, str]) -> None:
    centre, surface = plate(
        biot=float(row["biot"]), fourier=float(row["fourier"]), intervals=INTERVALS, steps=30, growth=1.15
    )
    assert centre == pytest.approx(float(row["theta_centre"]), abs=1e-3)
    assert surface == pytest.approx(float(row["theta_surface"]), abs=1e-3)


def test_a_quench_against_a_general_purpose_solver() -> None:
    table = medium_row("medium_oil")["heat_transfer"]
    half_m, bath_c, cells = 0.003, 52.0, 60
    width = half_m / cells

    def slope(_: float, t: np.ndarray) -> np.ndarray:
        k = np.array([conductivity_w_mk(v) for v in (t[1:] + t[:-1]) / 2])
        flow = np.concatenate(([0.0], k * (t[:-1] - t[1:]) / width))
        edge = 1.0 / (1.0 / held(table, float(t[-1])) + width / 2 / conductivity_w_mk(float(t[-1])))
        out = edge * (t[-1] - bath_c)
        net = flow - np.concatenate((flow[1:], [out]))
        return net / (DENSITY_KG_M3 * COOLING_CP * width)

    def reached(_: float, t: np.ndarray) -> float:
        return float(t[0]) - 290.0

    reached.terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(
        slope, (0.0, 60.0), np.full(cells, 830.0), method="BDF", events=reached, rtol=1e-6, atol=1e-3
    )
    ours = bath_hold_s("medium_oil", thickness_mm=6.0, from_c=830.0, bath_c=bath_c, to_c=290.0)
    assert ours == pytest.approx(float(solved.t_events[0][0]), rel=0.04)


@pytest.mark.parametrize(
    ("thickness_mm", "transfer", "seconds"),
    [
        (2, 1000, 2.209),
        (2, 2000, 1.104),
        (3, 1000, 3.313),
        (3, 2000, 1.657),
        (3, 4000, 0.828),
        (5, 2000, 2.761),
        (6, 2000, 3.313),
    ],
)
def test_a_lumped_plate_against_its_closed_form(thickness_mm: float, transfer: float, seconds: float) -> None:
    half_m = thickness_mm / 2000.0
    time_s = DENSITY_KG_M3 * COOLING_CP * half_m / transfer * math.log((800 - 60) / (540 - 60))
    assert time_s == pytest.approx(seconds, abs=0.001)
    # with conduction the centre lags: a little slower, never faster
    above, spent = [740.0] * (INTERVALS + 1), 0.0
    while above[0] > 480.0:
        above = step_section(
            above,
            step_s=seconds / 400,
            width_m=half_m / INTERVALS,
            conductivity=CONDUCTIVITY,
            transfer=transfer,
        )
        spent += seconds / 400
    assert seconds <= spent <= 1.25 * seconds


@pytest.mark.parametrize(("thickness_mm", "seconds"), [(2.2, 1.19), (3.0, 1.63), (4.2, 2.28), (6.0, 3.26)])
def test_what_a_coupon_of_half_the_thickness_proves(thickness_mm: float, seconds: float) -> None:
    # 800 to 500 degC in a bath of 2400 W/m2K: only the ratio of thicknesses is to be trusted
    time_s = DENSITY_KG_M3 * 650.0 * thickness_mm / 2000.0 / 2400.0 * math.log(750 / 450)
    assert time_s == pytest.approx(seconds, abs=0.01)


@pytest.mark.parametrize(
    ("temperature_c", "kilojoule"),
    [(600, 335.7), (700, 419.1), (735, 475.4), (800, 561.6), (850, 598.6), (900, 632.1)],
)
def test_enthalpy_against_en_1993(temperature_c: float, kilojoule: float) -> None:
    gained = enthalpy_j_kg(float(temperature_c)) - enthalpy_j_kg(20.0)
    assert gained / 1000 == pytest.approx(kilojoule, abs=0.3)


def test_no_step_passes_over_the_peak_of_specific_heat() -> None:
    def specific(t: float) -> float:
        return 666 + 13002 / (738 - t) if t < 735 else 545 + 17820 / (t - 731)

    peak = quad(specific, 700, 735)[0] + quad(specific, 735, 780)[0]
    assert enthalpy_j_kg(780.0) - enthalpy_j_kg(700.0) == pytest.approx(peak, rel=1e-6)


@pytest.mark.parametrize(
    ("temperature_c", "emissivity", "transfer"),
    [
        (400, 0.8, 23.6),
        (600, 0.8, 44.9),
        (760, 0.8, 69.4),
        (800, 0.8, 76.7),
        (900, 0.8, 97.3),
        (800, 0.3, 28.8),
    ],
)
def test_radiation_against_the_stefan_boltzmann_law(
    temperature_c: float, emissivity: float, transfer: float
) -> None:
    value = radiation_w_m2k(temperature_c, ambient_c=20.0, emissivity=emissivity)
    assert value == pytest.approx(transfer, abs=0.1)


# Without radiation a lumped plate follows t = rho c (thickness / 2) / h ln((Toven - T0) / 5): worked by hand,
# 7850 x 520 x 0.002 / 10 x ln(180 / 5) s for 4 mm.
@pytest.mark.parametrize(
    ("thickness_mm", "convection", "seconds"), [(4.0, 10.0, 2925.6), (2.0, 10.0, 1462.8), (4.0, 20.0, 1462.8)]
)
def test_heat_up_against_the_closed_form(thickness_mm: float, convection: float, seconds: float) -> None:
    found = heat_up_s(thickness_mm=thickness_mm, oven_c=200.0, convection=convection, emissivity=0.0)
    assert found == pytest.approx(seconds, rel=0.002)


def test_heat_up_with_radiation_against_a_general_purpose_integration() -> None:
    def rate_s_k(t: float) -> float:
        radiation = 0.8 * 5.670374e-8 * ((473.15**4) - (t + 273.15) ** 4)
        return 7850.0 * 520.0 * 0.002 / (10.0 * (200.0 - t) + radiation)

    assert heat_up_s(thickness_mm=4.0, oven_c=200.0) == pytest.approx(quad(rate_s_k, 20, 195)[0], rel=0.002)


@pytest.mark.parametrize(
    ("medium", "thickness_mm", "to_c", "seconds"),
    [
        ("medium_oil", 6.0, 260.0, 26),
        ("medium_oil", 6.0, 290.0, 21),
        ("fast_oil", 4.0, 260.0, 13),
        ("fast_oil", 3.2, 260.0, 10),
        ("fast_oil", 5.0, 260.0, 16),
        ("medium_oil", 2.2, 260.0, 9),
    ],
)
def test_bath_holds_to_the_lift(medium: str, thickness_mm: float, to_c: float, seconds: float) -> None:
    hold_s = bath_hold_s(medium, thickness_mm=thickness_mm, from_c=830.0, bath_c=51.0, to_c=to_c)
    assert hold_s == pytest.approx(seconds, abs=1.3)
    assert hold_s > 3 if thickness_mm < 3 else hold_s > 9.0


def test_the_surface_is_never_hotter_than_the_centre() -> None:
    for _, surface, centre in cooling_curve("brine", thickness_mm=8.0, from_c=800.0, bath_c=25.0, to_c=100.0):
        assert surface <= centre
