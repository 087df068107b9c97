"""Whether a section hardens: verdicts against published section limits, and what a coupon changes."""

from __future__ import annotations

from typing import Any

import pytest

from temperward.engine.api import ask
from temperward.engine.metallurgy.alloys import find, stock_of_row
from temperward.engine.thermal.hardening import quick_margin


def verdict(**facts: Any) -> dict[str, Any]:
    answer: dict[str, Any] = ask("will_it_harden", facts)["answer"]
    return answer


# thickness in mm, and what practice or a sheet says of it
@pytest.mark.parametrize(
    ("steel", "thickness_mm", "medium", "key"),
    [
        ("1084", 4.0, "fast_oil", "likely"),  # practice: oil under about 5 mm
        ("1084", 2.0, "fast_oil", "hardens"),
        ("1095", 3.2, "fast_oil", "edge_only"),  # page1095: oil under 4.8 mm, needs 200-500 K/s
        ("5160", 6.5, "medium_oil", "hardens"),
        ("52100", 2.2, "medium_oil", "hardens"),  # card100Cr6: 20 mm rounds
        ("L6", 10.0, "medium_oil", "hardens"),  # sheetL6: to 76 mm
        ("80CrV2", 5.0, "fast_oil", "hardens"),
        ("W1", 3.8, "brine", "hardens"),
        ("1045", 10.0, "water", "likely"),  # sheetC45U: through to 15 mm at most
        ("1045", 6.0, "medium_oil", "edge_only"),  # heatTreatersGuide: rounds under 6.35 mm, in fast oil
    ],
)
def test_verdicts(steel: str, thickness_mm: float, medium: str, key: str) -> None:
    found = verdict(steel=steel, thickness_mm=thickness_mm, edge_mm=0.7, medium=medium)["verdict"]["key"]
    assert found == "verdict." + key


@pytest.mark.parametrize(
    ("steel", "thickness_mm", "medium"),
    [("1095", 4.8, "fast_oil"), ("1084", 5.0, "fast_oil"), ("1080", 6.0, "fast_oil")],
)
def test_never_greener_than_the_published_limit(steel: str, thickness_mm: float, medium: str) -> None:
    answer = verdict(steel=steel, thickness_mm=thickness_mm, medium=medium)
    assert answer["verdict"]["key"] in ("verdict.doubtful", "verdict.no")
    assert answer["published_limit"]["limit_mm"] <= thickness_mm


def test_medium_oil_is_too_slow_for_1095() -> None:
    fast = verdict(steel="1095", thickness_mm=3.2, medium="fast_oil")["places"][0]
    medium = verdict(steel="1095", thickness_mm=3.2, medium="medium_oil")["places"][0]
    assert medium["margin"] < fast["margin"]
    assert medium["centre"]["hrc"]["value"] < fast["centre"]["hrc"]["value"]


def test_the_edge_hardens_before_the_spine() -> None:
    places = verdict(steel="1095", thickness_mm=4.0, edge_mm=0.7, medium="fast_oil")["places"]
    assert [place["place"] for place in places] == ["edge", "middle"]
    assert places[0]["margin"] > places[1]["margin"]


def test_the_multiplier_is_shown_as_an_assumption() -> None:
    answer = verdict(steel="1084", thickness_mm=4.0, medium="fast_oil")
    assert answer["assumption"] == {"key": "note.multiplier_assumed", "facts": {"multiplier": 1.6}}


def test_the_plate_route_stands_beside_as_the_lower_bound() -> None:
    answer = verdict(steel="1084", thickness_mm=4.0, medium="fast_oil")
    assert answer["plate_route"]["plate"]["low"] < 4.0
    assert answer["verdict"]["key"] == "verdict.likely"


# 52100 at 840 degC holds 0.70 of its 1.00 %C (msDatabase2022), and the same share of its chromium: factors of
# carbon 0.283, manganese 0.35, silicon 0.25, chromium 0.70 x 1.45 % (astmA255). All dissolved were 85.7 mm.
def test_what_stays_in_carbide_does_not_help_it_to_harden() -> None:
    inches = 0.283 * (1 + 3.3333 * 0.35) * (1 + 0.7 * 0.25) * (1 + 2.16 * 0.70 * 1.45)
    answer = verdict(steel="52100", austenitise_c=840.0, thickness_mm=3.0, medium="fast_oil")
    assert answer["plate_route"]["ideal_diameter_mm"] == pytest.approx(25.4 * inches, abs=0.05)
    assert 25.4 * inches == pytest.approx(58.4, abs=0.05)


@pytest.mark.parametrize(
    ("coupon", "key"),
    [
        ({"thickness_mm": 4.0, "medium": "fast_oil", "passed": True}, "verdict.proven"),
        ({"thickness_mm": 3.0, "medium": "fast_oil", "passed": True}, "verdict.edge_only"),
        ({"thickness_mm": 5.0, "medium": "medium_oil", "passed": True}, "verdict.edge_only"),
        ({"thickness_mm": 3.0, "medium": "fast_oil", "passed": False}, "verdict.disproven"),
    ],
)
def test_a_coupon_outranks_the_model_as_far_as_it_goes(coupon: dict[str, Any], key: str) -> None:
    answer = verdict(steel="1095", thickness_mm=3.5, edge_mm=0.7, medium="fast_oil", coupon=coupon)
    assert answer["verdict"]["key"] == key


def test_water_for_alloy_steel_is_refused_without_a_coupon() -> None:
    error = ask("will_it_harden", {"steel": "5160", "thickness_mm": 4.0, "medium": "water"})["error"]
    assert (error["field"], error["reason"]) == ("medium", "refusal.water_cracks")
    coupon = {"thickness_mm": 4.0, "medium": "water", "passed": True}
    allowed = ask(
        "will_it_harden", {"steel": "5160", "thickness_mm": 4.0, "medium": "water", "coupon": coupon}
    )
    assert allowed["answer"]["warnings"][0]["key"] == "warning.water_cracks"


def test_hardening_in_air_is_left_to_the_file() -> None:
    error = ask("will_it_harden", {"steel": "O1", "thickness_mm": 3.0, "medium": "still_air"})["error"]
    assert error["reason"] == "refusal.air_is_no_quench"


@pytest.mark.parametrize(
    ("steel", "thickness_mm", "medium"),
    [
        ("1084", 4.0, "fast_oil"),
        ("1095", 3.2, "fast_oil"),
        ("5160", 6.5, "medium_oil"),
        ("W1", 5.0, "water"),
        ("80CrV2", 5.0, "fast_oil"),
    ],
)
def test_the_cards_short_cut_agrees_with_the_full_run(steel: str, thickness_mm: float, medium: str) -> None:
    row, bath_c = find(steel), 30.0 if medium == "water" else 50.0
    full = verdict(steel=steel, thickness_mm=thickness_mm, medium=medium, bath_c=bath_c)["places"][0][
        "margin"
    ]
    quick = quick_margin(
        stock_of_row(row), thickness_mm=thickness_mm, medium=medium, bath_c=bath_c, austenitise_c=row["aim_c"]
    )
    assert quick == pytest.approx(full, rel=0.20)


def test_the_curve_starts_in_air_and_ends_past_the_nose() -> None:
    answer = verdict(steel="1084", thickness_mm=4.0, medium="fast_oil", transfer_s=2.0)
    times = [point[0] for point in answer["curve"]]
    assert times[0] == -2.0
    assert times == sorted(times)
    assert answer["curve"][-1][2] < answer["nose"]["nose_c"]
    slow = verdict(steel="1084", thickness_mm=4.0, medium="fast_oil", transfer_s=8.0)
    assert slow["places"][0]["margin"] < answer["places"][0]["margin"]


# Radiation 0.8 x 5.670374e-8 (1088^4 - 323^4) = 63.1 and convection 12 x 765 = 9.2 kW/m2, over 7850 x 650 x
# 0.002 J/m2K: 7.1 K/s at first, worked by hand; convection alone would be 0.9.
def test_a_red_blade_on_its_way_to_the_bath_loses_most_by_radiation() -> None:
    facts = {"steel": "1084", "austenitise_c": 815.0, "bath_c": 50.0, "thickness_mm": 4.0}
    curve = verdict(**facts, medium="fast_oil", transfer_s=2.0)["curve"]
    in_air = [point for point in curve if point[0] <= 1e-6]
    assert in_air[-1][0] == pytest.approx(0.0, abs=1e-6)
    _, skin_c, centre_c = in_air[-1]
    assert 815.0 - (skin_c + centre_c) / 2 == pytest.approx(2 * 7.1, abs=0.5)


def test_an_own_analysis_moves_the_nose() -> None:
    lean = {"c": 0.80, "mn": 0.60, "si": 0.20}
    rich = {"c": 0.80, "mn": 0.90, "si": 0.20}
    low = verdict(steel="1084", composition=lean, thickness_mm=4.0, medium="fast_oil")["places"][0]["margin"]
    high = verdict(steel="1084", composition=rich, thickness_mm=4.0, medium="fast_oil")["places"][0]["margin"]
    assert low < high


def test_a_steels_own_range_widens_the_factor_and_its_analysis_does_not() -> None:
    analysis = {"c": 0.84, "mn": 0.75, "si": 0.22}
    named = verdict(steel="1084", thickness_mm=3.0, medium="fast_oil")
    known = verdict(steel="1084", composition=analysis, thickness_mm=3.0, medium="fast_oil")
    assert known["nose"]["time_factor"] == known["nose"]["late_factor"] == 2.0
    assert named["nose"]["time_factor"] > 2.2  # 0.60 % manganese in place of 0.75
    low, known_low = (one["places"][0]["centre"]["martensite"]["low"] for one in (named, known))
    assert low < known_low


@pytest.mark.parametrize(
    ("steel", "medium"),
    [("1075", "fast_oil"), ("1084", "fast_oil"), ("1095", "medium_oil"), ("52100", "medium_oil")],
)
def test_the_limit_is_one_figure_whatever_thickness_is_asked(steel: str, medium: str) -> None:
    answers = [verdict(steel=steel, thickness_mm=mm, medium=medium) for mm in (1.5, 4.0, 8.0)]
    assert answers[0]["limit"] == answers[1]["limit"] == answers[2]["limit"]
    limit = answers[0]["limit"]
    assert 0.5 <= limit["low"] <= limit["value"] <= limit["high"] <= 12.0
    if answers[0]["published_limit"] is not None:
        assert limit["high"] <= answers[0]["published_limit"]["limit_mm"]
    likely = verdict(steel=steel, thickness_mm=max(0.5, limit["value"] * 0.9), medium=medium)
    assert likely["places"][0]["margin"] >= 1.0


def test_the_limit_says_when_the_model_ends_before_the_steel() -> None:
    limit = verdict(steel="L6", thickness_mm=4.0, medium="fast_oil")["limit"]
    assert limit["value"] == 12.0
    assert limit["notes"][0]["key"] == "note.as_far_as_it_reaches"
    thin = verdict(steel="W1", thickness_mm=2.0, medium="plates")["limit"]
    assert (thin["low"], thin["notes"]) == (0.5, [])


@pytest.mark.parametrize("steel", ["1045", "1075", "1084", "1095", "5160", "O2", "8670"])
@pytest.mark.parametrize("thickness_mm", [1.6, 2.4, 4.0, 6.0])
def test_the_card_is_never_greener_than_the_question(steel: str, thickness_mm: float) -> None:
    order = ["verdict.hardens", "verdict.likely", "verdict.edge_only", "verdict.doubtful", "verdict.no"]
    facts = {"steel": steel, "thickness_mm": thickness_mm, "edge_mm": 0.5}
    asked = verdict(**facts, medium="fast_oil", transfer_s=0.0)["verdict"]["key"]
    plan = {"length_mm": 150.0, "heat_source": "kiln", "quench": [{"medium": "fast_oil"}]}
    card = ask("make_card", {**facts, **plan})["answer"]["verdict"]["key"]
    assert order.index(card) >= order.index(asked)


def test_a_bare_analysis_gets_the_wider_factor() -> None:
    composition = {"c": 0.80, "mn": 0.75, "si": 0.22}
    facts = {"composition": composition, "austenitise_c": 810.0, "thickness_mm": 4.0, "medium": "fast_oil"}
    assert ask("will_it_harden", facts)["answer"]["nose"]["time_factor"] == 3.0
