"""The conduction that gives the verdict, against SciPy: steps, conductivity, heat of the change, air.

The solver takes what the engine states (the bath's table, the curve of the start times, the heat of the
change) and integrates all of it at once with local conductivity, in sixty cells, by a stiff method of
variable order.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from temperward.engine.interpolate import held
from temperward.engine.metallurgy.alloys import find, stock_of_row
from temperward.engine.metallurgy.kinetics import (
    LEAST_C,
    START_EXTENT,
    Nose,
    assumed_multiplier,
    hard_extent,
    nose_of,
    pearlite_fraction,
    start_time_s,
)
from temperward.engine.thermal.hardening import verdict_of_margin
from temperward.engine.thermal.media import medium_row
from temperward.engine.thermal.section_run import AIR_CONVECTION, END_C, LATENT_J_M3, run_section
from temperward.engine.thermal.steel_heat import (
    COOLING_CP,
    DENSITY_KG_M3,
    conductivity_w_mk,
    radiation_w_m2k,
)

CELLS = 60
EXACT: dict[str, Any] = {"method": "BDF", "rtol": 1e-6, "atol": 1e-6}
LIFT_C = 260.0
STORE = DENSITY_KG_M3 * COOLING_CP


class Section:
    """The half section of a plate as a system of ordinary differential equations."""

    def __init__(self, nose: Nose, *, medium: str, thickness_mm: float, bath_c: float) -> None:
        self.nose, self.bath_c = nose, bath_c
        self.table = medium_row(medium)["heat_transfer"]
        self.multiplier = assumed_multiplier(medium_row(medium)["kind"])["value"]
        self.width = thickness_mm / 2000.0 / CELLS

    def transfer(self, skin_c: float, *, in_air: bool) -> float:
        if in_air:
            return AIR_CONVECTION + radiation_w_m2k(skin_c, ambient_c=self.bath_c)
        return self.multiplier * float(held(self.table, skin_c))

    def speeds(self, temperature_c: np.ndarray) -> np.ndarray:
        nose = self.nose
        within = (temperature_c >= LEAST_C) & (temperature_c <= nose.upper_c - 5.0)
        return np.array(
            [
                1.0 / start_time_s(t, nose=nose) if w else 0.0
                for t, w in zip(temperature_c, within, strict=True)
            ]
        )

    def slope(self, state: np.ndarray, *, in_air: bool) -> np.ndarray:
        t, extent = state[:CELLS], np.maximum(state[CELLS:], 0.0)
        k = np.array([conductivity_w_mk(float(v)) for v in (t[1:] + t[:-1]) / 2])
        # the skin lies half a cell outside the last middle
        skin_c = float(t[-1])
        for _ in range(8):
            h = self.transfer(skin_c, in_air=in_air)
            lead = conductivity_w_mk(skin_c) / (self.width / 2)
            skin_c = (lead * float(t[-1]) + h * self.bath_c) / (lead + h)
        flow = np.concatenate(([0.0], k * (t[:-1] - t[1:]) / self.width, [h * (skin_c - self.bath_c)]))
        faster = self.speeds(t)
        n = self.nose.order
        left = np.exp(-START_EXTENT * extent**n)
        changing = START_EXTENT * n * extent ** (n - 1.0) * left * faster
        warming = (flow[:-1] - flow[1:]) / self.width + LATENT_J_M3 * changing
        return np.concatenate((warming / STORE, faster))

    def down_to(self, end_c: float, state: np.ndarray) -> tuple[float, np.ndarray]:
        """Return the time in the bath until the centre is down to a temperature, and the state then."""

        def down(_: float, y: np.ndarray) -> float:
            return float(y[0]) - end_c

        down.terminal = True  # type: ignore[attr-defined]
        bath = solve_ivp(lambda _, y: self.slope(y, in_air=False), (0.0, 300.0), state, events=down, **EXACT)
        return float(bath.t_events[0][0]), bath.y_events[0][0]

    def run(self, *, from_c: float, transfer_s: float, lift_c: float) -> tuple[float, float, float, float]:
        """Return the time to the end of the nose, both extents then, and the time on to the lift."""
        state = np.concatenate((np.full(CELLS, from_c), np.zeros(CELLS)))
        if transfer_s > 0:
            air = solve_ivp(lambda _, y: self.slope(y, in_air=True), (0.0, transfer_s), state, **EXACT)
            state = air.y[:, -1]
        time_s, end = self.down_to(END_C, state)
        self.multiplier = 1.0  # past the nose the bath's table stands as it is
        on_s, _ = self.down_to(lift_c, np.concatenate((end[:CELLS], np.zeros(CELLS))))
        return time_s, float(end[2 * CELLS - 1]), float(end[CELLS]), on_s


CASES = [
    ("1084", "fast_oil", 4.0),
    ("1084", "medium_oil", 5.0),  # changes on the way: the heat of the change rules
    ("1095", "fast_oil", 3.2),
    ("5160", "medium_oil", 6.5),
    ("80CrV2", "fast_oil", 5.0),
    ("1045", "water", 10.0),
    ("W1", "brine", 3.8),
    ("W1", "brine", 12.0),  # a Biot number of about seven
    ("1050", "plates", 1.0),
]


def both(steel: str, medium: str, thickness_mm: float, *, transfer_s: float = 2.0) -> tuple[Any, Any, Nose]:
    row = find(steel)
    bath_c = medium_row(medium)["bath_aim_c"]
    nose = nose_of(stock_of_row(row), austenitise_c=row["aim_c"])
    ours = run_section(
        medium=medium,
        thickness_mm=thickness_mm,
        from_c=row["aim_c"],
        bath_c=bath_c,
        transfer_s=transfer_s,
        nose=nose,
        multiplier=assumed_multiplier(medium_row(medium)["kind"])["value"],
        end_c=LIFT_C,
    )
    section = Section(nose, medium=medium, thickness_mm=thickness_mm, bath_c=bath_c)
    return ours, section.run(from_c=row["aim_c"], transfer_s=transfer_s, lift_c=LIFT_C), nose


def when(curve: list[list[float]], *, centre_c: float) -> float:
    """Return when the centre is down to a temperature, between two points of the curve."""
    before = next(k for k in range(len(curve)) if curve[k + 1][2] <= centre_c)
    (t0, _, c0), (t1, _, c1) = curve[before], curve[before + 1]
    return t0 + (t1 - t0) * (c0 - centre_c) / (c0 - c1)


@pytest.mark.parametrize(("steel", "medium", "thickness_mm"), CASES)
def test_the_run_of_a_section_against_scipy(steel: str, medium: str, thickness_mm: float) -> None:
    ours, (time_s, skin_extent, centre_extent, on_s), nose = both(steel, medium, thickness_mm)
    past_s = when(ours["curve"], centre_c=END_C)
    assert past_s == pytest.approx(time_s, rel=0.07)
    # The multiplier is for the nose alone: the bath's own table from there on.
    assert when(ours["curve"], centre_c=LIFT_C) - past_s == pytest.approx(on_s, rel=0.12)
    # The nose itself is known to a factor of two.
    assert ours["centre_extent"] == pytest.approx(centre_extent, rel=0.08)
    assert ours["skin_extent"] == pytest.approx(skin_extent, rel=0.22)
    # what the smith reads
    extents = (ours["centre_extent"], centre_extent)
    changed = [100.0 * pearlite_fraction(extent, nose=nose) for extent in extents]
    assert changed[0] == pytest.approx(changed[1], abs=4.5)
    margins = [hard_extent(nose) / extent for extent in extents]
    assert verdict_of_margin(margins[0], nose=nose) == verdict_of_margin(margins[1], nose=nose)


def test_without_the_heat_of_the_change_the_same_section_reads_greener(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with_heat, solved, _ = both("1084", "medium_oil", 5.0)
    monkeypatch.setattr("temperward.engine.thermal.section_run.LATENT_J_M3", 0.0)
    without, _, _ = both("1084", "medium_oil", 5.0)
    assert when(without["curve"], centre_c=END_C) < 0.93 * solved[0]
    assert when(with_heat["curve"], centre_c=END_C) > 0.93 * solved[0]
