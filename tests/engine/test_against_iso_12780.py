"""Straightness by the minimum zone (ISO 12780, ISO 1101) against linear programming, and worked figures."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, linprog

from temperward.engine.api import ask
from temperward.engine.shape.bevels import double_edge_deg, single_edge_deg
from temperward.engine.shape.springback import springback_ratio
from temperward.engine.shape.straightness import (
    bow_of,
    least_squares_zone_mm,
    minimum_zone_mm,
)
from temperward.engine.shape.warp import growing_after, noise_limit_mm

FEELER = {
    "pad_mm": 1.0,
    "stations": [
        {"at_mm": 70.0 * k, "gap_mm": gap} for k, gap in enumerate([1.0, 1.1, 1.35, 1.55, 1.45, 1.2, 1.0])
    ],
}
S_BEND = {
    "stations": [
        {"at_mm": 70.0 * k, "gap_mm": gap} for k, gap in enumerate([0, 0.3, 0.25, 0, -0.25, -0.3, 0])
    ]
}
PROFILES = st.lists(
    st.tuples(st.integers(0, 60), st.integers(-200, 200)), min_size=3, max_size=12, unique_by=lambda p: p[0]
)


def linear_program_zone(points: list[list[float]]) -> float:
    """Return the least strip height as a linear program solved by SciPy."""
    rows, bounds = [], []
    for x, y in points:
        rows += [[x / 100, 1.0, -0.5], [-x / 100, -1.0, -0.5]]
        bounds += [y, -y]
    solved = linprog([0, 0, 1], A_ub=rows, b_ub=bounds, bounds=[(None, None), (None, None), (0, None)])
    return float(solved.fun)


@pytest.mark.parametrize(
    ("profile", "zone", "squares", "ends"),
    [
        ([0, 0.2, 0.35, 0.3, 0.05], 0.325, 0.340, 0.325),
        ([0, 0.3, -0.1, 0.25, 0], 0.375, 0.395, 0.400),
    ],
)
def test_minimum_zone_against_worked_profiles(
    profile: list[float], zone: float, squares: float, ends: float
) -> None:
    points = [[50.0 * k, y] for k, y in enumerate(profile)]
    assert minimum_zone_mm(points) == pytest.approx(zone, abs=1e-3)
    assert least_squares_zone_mm(points) == pytest.approx(squares, abs=1e-3)
    bow = bow_of(points)
    assert bow.high_mm - bow.low_mm == pytest.approx(ends, abs=1e-3)


@settings(max_examples=60, deadline=None)
@given(PROFILES)
def test_minimum_zone_against_linear_programming(profile: list[tuple[int, int]]) -> None:
    points = sorted([5.0 * x, y / 100] for x, y in profile)
    assert minimum_zone_mm(points) == pytest.approx(linear_program_zone(points), abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(PROFILES, st.floats(-2, 2), st.floats(-0.02, 0.02), st.randoms(use_true_random=False))
def test_tilt_and_order_change_nothing(
    profile: list[tuple[int, int]], lift: float, tilt: float, order: object
) -> None:
    points = [[5.0 * x, y / 100] for x, y in profile]
    tilted = [[x, y + lift + tilt * x] for x, y in points]
    order.shuffle(tilted)  # type: ignore[attr-defined]
    before, after = bow_of(points), bow_of(tilted)
    assert after.minimum_zone_mm == pytest.approx(before.minimum_zone_mm, abs=1e-9)
    assert after.bow_mm == pytest.approx(before.bow_mm, abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(PROFILES)
def test_the_chord_never_understates_the_zone_by_more_than_half(profile: list[tuple[int, int]]) -> None:
    bow = bow_of([[5.0 * x, y / 100] for x, y in profile])
    assert bow.minimum_zone_mm <= bow.high_mm - bow.low_mm + 1e-9
    assert bow.high_mm - bow.low_mm <= 2 * bow.minimum_zone_mm + 1e-9


def test_feeler_readings_against_a_worked_profile() -> None:
    answer = ask("straightness", FEELER)["answer"]
    assert (answer["bow_mm"], answer["at_mm"]) == (pytest.approx(0.55), 210.0)
    assert answer["minimum_zone_mm"] == pytest.approx(0.55)
    assert answer["least_squares_mm"] == pytest.approx(0.582, abs=1e-3)
    assert answer["per_metre_mm"] == pytest.approx(1.31, abs=0.005)
    assert answer["radius_m"] == pytest.approx(40.1, abs=0.05)
    assert answer["kink"]["second_difference_mm"] == pytest.approx(-0.30)
    assert answer["kink"]["at_mm"] == 210.0
    assert answer["limit_mm"] == pytest.approx(0.42)
    assert answer["verdict"] == "moderate"


def test_an_s_bend_against_a_worked_profile() -> None:
    answer = ask("straightness", S_BEND)["answer"]
    assert answer["s_bend"]
    assert answer["chord_range_mm"] == pytest.approx(0.60)
    assert answer["minimum_zone_mm"] == pytest.approx(0.375)
    assert answer["least_squares_mm"] == pytest.approx(0.379, abs=1e-3)


# Zone 0.375, largest deviation from the chord 0.30: a limit of 0.35 lies between the two.
def test_the_verdict_goes_by_the_zone_and_not_by_the_bow() -> None:
    answer = ask("straightness", {**S_BEND, "length_mm": 420.0, "limit_pct": 0.35 / 4.2})["answer"]
    assert answer["bow_mm"] < answer["limit_mm"] < answer["minimum_zone_mm"]
    assert answer["verdict"] == "moderate"


def test_a_sharp_bend_at_one_station_is_a_kink_and_an_arc_is_not() -> None:
    def shape(gaps: list[float]) -> bool:
        stations = [{"at_mm": 50.0 * k, "gap_mm": gap} for k, gap in enumerate(gaps)]
        return bool(ask("straightness", {"stations": stations})["answer"]["kink"]["is_kink"])

    assert shape([0, 0.4, 0.8, 1.2, 0.8, 0.4, 0])
    assert not shape([0, 0.5, 0.8, 0.9, 0.8, 0.5, 0])


def test_twist_of_a_corner_against_plane_geometry() -> None:
    answer = ask("twist", {"gap_mm": 0.35, "width_mm": 36.0})["answer"]
    assert answer["twist"]["value"] == pytest.approx(0.56, abs=0.005)
    assert answer["verdict"] == "over"


def test_a_growing_warp() -> None:
    answer = ask("warp_trend", {"bows": [0.15, 0.30, 0.55, 0.80]})["answer"]
    assert answer["slope_mm"] == pytest.approx(0.22)
    assert answer["slope_error_mm"] == pytest.approx(0.022, abs=5e-4)
    assert answer["expected_next"]["value"] == pytest.approx(1.00)
    assert answer["steps_mm"] == pytest.approx([0.15, 0.25, 0.25])
    assert (answer["flag"], answer["flagged_after"]) == (True, 2)
    assert noise_limit_mm(0.05) == pytest.approx(0.141, abs=1e-3)


# Four readings of 0.05 mm: sum of squares 5, spread of the next 0.05 sqrt(1/4 + 2.5^2 / 5) = 0.0612, 90 %
# within 1.645 (definition), worked by hand; twice as rough a feeler, twice the band.
@pytest.mark.parametrize(("uncertainty_mm", "half_mm"), [(0.05, 0.1007), (0.1, 0.2015)])
def test_what_to_expect_next_is_as_sure_as_the_feeler(uncertainty_mm: float, half_mm: float) -> None:
    facts = {"bows": [0.15, 0.30, 0.55, 0.80], "uncertainty_mm": uncertainty_mm}
    expected = ask("warp_trend", facts)["answer"]["expected_next"]
    assert expected["high"] - expected["value"] == pytest.approx(half_mm, abs=1e-4)
    assert expected["value"] - expected["low"] == pytest.approx(half_mm, abs=1e-4)


def test_a_rough_feeler_sees_no_trend_where_a_fine_one_does() -> None:
    bows = [0.15, 0.35, 0.55]
    assert ask("warp_trend", {"bows": bows, "uncertainty_mm": 0.05})["answer"]["flag"]
    assert not ask("warp_trend", {"bows": bows, "uncertainty_mm": 0.1})["answer"]["flag"]


def test_scatter_of_the_feeler_is_no_trend() -> None:
    assert growing_after([0.10, 0.10, 0.15, 0.15], uncertainty_mm=0.05) is None
    assert growing_after([0.10, 0.24, 0.38], uncertainty_mm=0.05) is None
    assert growing_after([0.10, 0.40, 0.30, 0.60], uncertainty_mm=0.05) is None


@pytest.mark.parametrize(
    ("height_mm", "spine_mm", "angle"),
    [(34, 5.2, 3.87), (32, 4.7, 3.67), (29, 4.2, 3.55), (24, 3.6, 3.58), (15, 2.9, 4.38)],
)
def test_bevels_of_a_single_edge_against_plane_geometry(
    height_mm: float, spine_mm: float, angle: float
) -> None:
    assert single_edge_deg(height_mm=height_mm, spine_mm=spine_mm, edge_mm=0.6) == pytest.approx(
        angle, abs=0.005
    )


@pytest.mark.parametrize(
    ("width_mm", "centre_mm", "angle"),
    [(34, 6.0, 9.19), (32, 5.6, 9.06), (30, 5.2, 8.90), (26, 4.6, 8.96), (18, 3.8, 10.39)],
)
def test_bevels_of_a_double_edge_against_plane_geometry(
    width_mm: float, centre_mm: float, angle: float
) -> None:
    assert double_edge_deg(width_mm=width_mm, centre_mm=centre_mm, edge_mm=0.5) == pytest.approx(
        angle, abs=0.005
    )


def test_bevels_answer_every_station_in_order() -> None:
    facts = {
        "edge_mm": 0.6,
        "stations": [
            {"at_mm": 240.0, "thickness_mm": 2.9, "width_mm": 15.0},
            {"at_mm": 0.0, "thickness_mm": 5.2, "width_mm": 34.0},
        ],
    }
    rows = ask("bevels", facts)["answer"]["stations"]
    assert [row["at_mm"] for row in rows] == [0.0, 240.0]
    assert [round(row["per_side_deg"], 2) for row in rows] == [3.87, 4.38]


# A blade 210 x 48 x 2.2 of eight tenths of its box (edge 1.32), and its tang, a box of 110 x 18 x 2.2.
def test_the_mass_of_a_blade_with_its_tang_against_plane_geometry() -> None:
    found = 0.0
    for length_mm, width_mm, edge_mm in [(210.0, 48.0, 1.32), (110.0, 18.0, 2.199)]:
        ends = [{"at_mm": at, "thickness_mm": 2.2, "width_mm": width_mm} for at in (0.0, length_mm)]
        found += ask("bevels", {"edge_mm": edge_mm, "stations": ends})["answer"]["mass_g"]
    assert found == pytest.approx(173.5, abs=0.1)


# Sections 34 x (5.2 + 0.6) / 2 = 98.6 and 15 x (2.9 + 0.6) / 2 = 26.25 mm2, 240 mm apart, 7.85e-3 g/mm3.
def test_the_mass_between_two_stations_worked_by_hand() -> None:
    ends = [(0.0, 5.2, 34.0), (240.0, 2.9, 15.0)]
    stations = [{"at_mm": at, "thickness_mm": t, "width_mm": w} for at, t, w in ends]
    answer = ask("bevels", {"edge_mm": 0.6, "stations": stations})["answer"]
    assert answer["mass_g"] == pytest.approx(117.6, abs=0.05)


def test_springback_against_the_textbook() -> None:
    ratio = springback_ratio(bend_radius_mm=100.0, yield_mpa=1500.0, thickness_mm=3.0)
    assert 100.0 / ratio == pytest.approx(306.4, abs=0.5)


def test_a_shim_is_held_under_the_strain_that_breaks() -> None:
    facts = {"bow_mm": 0.6, "span_mm": 150.0, "thickness_mm": 3.0, "state": "tempered", "tempered_c": 205.0}
    shim = ask("springback", facts)["answer"]["shim"]
    assert (shim["value"], shim["low"]) == (pytest.approx(1.8), pytest.approx(1.2))
    too_far = dict(facts, bow_mm=4.0)
    assert ask("springback", too_far)["error"]["reason"] == "refusal.jig_strain"
    hard = dict(facts, tempered_c=150.0)
    assert ask("springback", hard)["error"]["field"] == "tempered_c"


# 1/Rf = 1/Ri - 3 sy/(E t) (1 - (2 sy Ri/(E t))^2 / 3), solved for Ri by SciPy (beamBending), 500 MPa soft.
@pytest.mark.parametrize(("bow_mm", "span_mm", "thickness_mm"), [(0.5, 300.0, 4.2), (2.0, 200.0, 3.0)])
def test_overbend_of_soft_steel_against_the_textbook(
    bow_mm: float, span_mm: float, thickness_mm: float
) -> None:
    wanted_mm = span_mm**2 / (8.0 * bow_mm)
    share = 500.0 / (205000.0 * thickness_mm)

    def off(radius_mm: float) -> float:
        back = 3.0 * share * (1.0 - (2.0 * share * radius_mm) ** 2 / 3.0)
        return 1.0 / radius_mm - back - 1.0 / wanted_mm

    radius_mm = brentq(off, 1.0, 0.5 / share)
    facts = {"bow_mm": bow_mm, "span_mm": span_mm, "thickness_mm": thickness_mm, "state": "soft"}
    found = ask("springback", facts)["answer"]["overbend"]
    assert found["value"] == pytest.approx(span_mm**2 / (8.0 * radius_mm), rel=1e-6)
    assert bow_mm < found["low"] < found["value"] < found["high"]


# Strain t / 2R on a span of 8 R sag: 0.3 % is reached at 0.003 x 150^2 / (4 x 3) = 5.625 mm, worked by hand.
def test_the_most_a_shim_may_lift_worked_by_hand() -> None:
    facts = {"bow_mm": 2.0, "span_mm": 150.0, "thickness_mm": 3.0, "state": "tempered", "tempered_c": 205.0}
    assert ask("springback", facts)["answer"]["shim"]["value"] == pytest.approx(5.625)
    assert ask("springback", dict(facts, bow_mm=2.9))["error"]["high"] == pytest.approx(5.625 / 2)
