"""How long a blade stays in its baths, how warm it comes out, and what that leaves of the window."""

from __future__ import annotations

from typing import Any

import pytest
from common.card_cases import VARIANTS, card, plan, point, step

from temperward.engine.thermal.bath_hold import bath_hold_s, centre_after_c
from temperward.engine.thermal.windows import window_of

MEDIUM_OIL = {"steel": "5160", "thickness_mm": 6, "bath": None, "target_hrc": 57}
TWO_BATHS = {"steel": "1050", "target_hrc": 55}


def warnings(made: dict[str, Any]) -> list[str]:
    return [one["key"] for one in made["warnings"] if one["key"].endswith("_hold")]


def timed(seconds: float) -> dict[str, Any]:
    return card(plan(**MEDIUM_OIL, quench=[{"medium": "medium_oil", "seconds": seconds}]))


def test_a_blade_left_in_the_oil_too_long_has_no_window() -> None:
    computed = card(plan(**MEDIUM_OIL, quench=[{"medium": "medium_oil"}]))
    assert 20 < computed["limits"]["hold_s"] < 26
    assert computed["limits"]["window"] is not None
    made = timed(60)
    assert made["limits"]["window"] is None
    assert made["limits"]["hold_s"] == 60
    assert warnings(made) == ["card.warning.long_hold"]
    assert [one for one in step(made, "quench")["set_points"] if one["id"] == "lift_temperature"] == []


def test_seconds_a_little_long_shorten_the_window() -> None:
    usual, longer = timed(22.1)["limits"]["window"], timed(24)["limits"]["window"]
    assert longer["lift_c"] < usual["lift_c"] - 10
    assert longer["bend_s"] < usual["bend_s"] - 20


@pytest.mark.parametrize(("seconds", "warned"), [(8, True), (15, True), (22, False)])
def test_far_too_few_seconds_are_warned_of(seconds: float, *, warned: bool) -> None:
    made = timed(seconds)
    assert (warnings(made) == ["card.warning.short_hold"]) is warned
    if warned:
        said = next(one for one in made["warnings"] if one["key"] == "card.warning.short_hold")["facts"]
        assert said["given_s"] == seconds
        assert said["after_c"] > said["lift_c"] + 30
        assert made["limits"]["window"]["lift_c"] == pytest.approx(said["lift_c"])


def test_a_heavy_bolster_leaves_the_blade_no_window() -> None:
    made = card(plan(bolster_mm=12))
    assert made["limits"]["window"] is None
    assert made["limits"]["hold_s"] is None
    assert made["limits"]["thickest_mm"] == 12
    assert point(made, "quench", "hold_in_bath")["value"]["key"] == "card.text.to_hand_warm"
    assert step(made, "straighten-now")["why"]["key"] == "card.why.no_window"


def test_a_bolster_beyond_the_model_leaves_no_window_either() -> None:
    made = card(plan(bolster_mm=20))
    assert [made["limits"]["window"], made["limits"]["hold_s"]] == [None, None]


@pytest.mark.parametrize("name", sorted(VARIANTS))
def test_without_a_window_nothing_is_lifted_warm_unless_so_many_seconds_were_given(name: str) -> None:
    made = card(VARIANTS[name])
    stages = VARIANTS[name]["quench"]
    holds = [one for one in step(made, "quench")["set_points"] if one["id"].startswith("hold_in_bath")]
    assert len(holds) == len(stages)
    if made["limits"]["window"] is None and "seconds" not in stages[-1]:
        assert made["limits"]["hold_s"] is None
        assert holds[-1]["value"]["key"] == "card.text.to_hand_warm"
    else:
        assert made["limits"]["hold_s"] > 0


def test_the_time_in_several_baths_is_the_whole_time() -> None:
    oils = [{"medium": "fast_oil", "seconds": 4}, {"medium": "medium_oil", "seconds": 8}]
    assert card(plan(quench=oils))["limits"]["hold_s"] == 4 + 2 + 8
    water = [{"medium": "water", "seconds": 3}, {"medium": "fast_oil", "seconds": 5}]
    assert card(plan(**TWO_BATHS, bath=None, quench=water))["limits"]["hold_s"] == 3 + 2 + 5
    assert card(VARIANTS["water then oil"])["limits"]["hold_s"] is None


def test_the_second_oil_takes_it_from_where_the_first_left_off() -> None:
    alone = card(plan(bath=None, quench=[{"medium": "medium_oil"}]))["limits"]["hold_s"]
    made = card(plan(bath=None, quench=[{"medium": "fast_oil", "seconds": 4}, {"medium": "medium_oil"}]))
    second = point(made, "quench", "hold_in_bath_2")["value"]
    assert 2 < second < alone - 4
    assert made["limits"]["hold_s"] == pytest.approx(4 + 2 + second)
    assert made["limits"]["window"] is not None


def test_oil_before_plates_keeps_its_own_seconds() -> None:
    made = card(VARIANTS["oil then plates"])
    assert point(made, "quench", "hold_in_bath")["value"] == pytest.approx(
        card(plan())["limits"]["hold_s"], rel=0.1
    )
    assert point(made, "quench", "hold_in_bath_2")["value"]["key"] == "card.text.to_hand_warm"
    assert made["limits"]["hold_s"] is None


@pytest.mark.parametrize(
    "name", ["brine after a coupon", "clay", "water then oil", "edge quench", "oil then plates"]
)
def test_a_blade_that_stays_in_is_hand_warm_within_two_minutes(name: str) -> None:
    made = card(VARIANTS[name])
    assert made["limits"]["hold_s"] is None
    assert 5 < made["limits"]["hand_warm_s"] <= 120


def test_a_blade_that_stays_in_a_hot_bath_cools_on_in_air() -> None:
    hot = {"name": "Hot oil", "low_c": 80, "high_c": 110}
    stay = [{"medium": "fast_oil", "bath_c": 100, "event": "hand_warm"}]
    assert card(plan(bath=hot, quench=stay))["limits"]["hand_warm_s"] > 300
    assert card(VARIANTS["left to hand-warm"])["limits"]["hand_warm_s"] <= 120


def test_the_wait_to_hand_warm_counts_from_the_quench() -> None:
    made = card(plan())["limits"]
    assert made["hold_s"] + 800 < made["hand_warm_s"] < made["hold_s"] + 1000


def test_the_tanks_sheet_is_of_the_oil() -> None:
    quench = [{"medium": "water", "seconds": 3}, {"medium": "fast_oil"}]
    made = card(plan(**TWO_BATHS, quench=quench))
    water = point(made, "ready-to-harden", "bath_temperature")
    oil = point(made, "ready-to-harden", "bath_temperature_2")
    assert oil["sources"] == ["bathSheet"]
    assert [oil["value"] - oil["minus"], oil["value"] + oil["plus"]] == [35, 65]
    assert water["value"] < 45
    assert [made["limits"]["bath_low_c"], made["limits"]["bath_high_c"]] == [
        water["value"] - water["minus"],
        water["value"] + water["plus"],
    ]
    assert made["limits"]["flash_c"] == 190
    assert [one for one in made["numbers"] if one["id"] == "bath_rise"] == []


def test_a_sheet_without_a_flash_point_is_of_the_first_bath() -> None:
    quench = [{"medium": "water", "seconds": 3}, {"medium": "fast_oil"}]
    made = card(plan(**TWO_BATHS, bath={"name": "Tub", "low_c": 20, "high_c": 30}, quench=quench))
    assert [made["limits"]["bath_low_c"], made["limits"]["bath_high_c"]] == [20, 30]


@pytest.mark.parametrize(("steel", "longest_s"), [("1084", 720), ("52100", 1200), ("O1", 1320)])
def test_the_longest_time_in_the_heat_is_ten_minutes_beyond_the_soak(steel: str, longest_s: float) -> None:
    facts = plan(steel=steel, target_hrc=None, bath=None, quench=[{"medium": "medium_oil"}])
    made = card({**facts, "coupon": {"thickness_mm": 8, "medium": "medium_oil"}})
    longest = point(made, "hardening-heat", "longest_hot")
    assert longest["value"] == longest_s == point(made, "hardening-heat", "soak")["value"] + 600


def test_the_card_says_whether_twist_is_measured() -> None:
    assert card(plan())["limits"]["twist"] is False
    made = card(VARIANTS["double edge"])
    assert made["limits"]["twist"] is True
    assert made["limits"]["twist_limit_deg"] == 0.5


@pytest.mark.parametrize("ms_c", [110.0, 140.0, 155.0, 165.0, 220.0])
def test_bending_never_ends_later_than_gentle_bending(ms_c: float) -> None:
    window = window_of(ms_c=ms_c, thickness_mm=4.0, from_c=260.0, ms_high_c=ms_c - 5)
    for tail in ["_s", "_early_s", "_late_s"]:
        assert window["bend" + tail] <= window["gentle" + tail]
    assert window["bend_safe_s"] <= window["gentle_s"]
    assert window["bend_end_c"] >= window["gentle_end_c"]


@pytest.mark.parametrize("thickness_mm", [1.5, 4.2, 9.0])
def test_the_temperature_after_a_hold_is_what_the_hold_was_for(thickness_mm: float) -> None:
    hold_s = bath_hold_s("fast_oil", thickness_mm=thickness_mm, from_c=810.0, bath_c=54.0, to_c=260.0)
    after_c = centre_after_c(
        "fast_oil", thickness_mm=thickness_mm, from_c=810.0, bath_c=54.0, hold_s=hold_s, least_c=100.0
    )
    assert after_c == pytest.approx(260.0, abs=0.5)
