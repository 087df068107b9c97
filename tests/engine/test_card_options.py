"""What a card must be able to say, one fact at a time."""

from __future__ import annotations

from typing import Any

import pytest
from common.card_cases import FAST_OIL, VARIANTS, card, plan, point, step

from temperward.engine import data_files


def ids(made: dict[str, Any]) -> list[str]:
    return [one["id"] for one in made["steps"]]


def checks(made: dict[str, Any], name: str) -> list[str]:
    return [one["text"]["key"].removeprefix("card.check.") for one in step(made, name)["checks"]]


def test_the_plain_card_goes_from_ground_ready_to_release() -> None:
    assert ids(card(plan())) == [
        "ground-ready", "cycle-1", "cycle-2", "cycle-3", "ready-to-harden", "hardening-heat", "quench",
        "straighten-now", "hard", "temper-1", "temper-2", "finish", "release",
    ]  # fmt: skip


def test_no_cycles_goes_straight_to_ready() -> None:
    made = card(plan(cycles=0))
    assert ids(made)[:2] == ["ground-ready", "ready-to-harden"]
    assert made["limits"]["cycles"] == 0
    assert made["limits"]["soak_cycle_s"] == []


def test_a_soak_belongs_to_each_cycle() -> None:
    assert card(plan())["limits"]["soak_cycle_s"] == [180, 120, 120]


def test_stress_relief_comes_last_before_hardening() -> None:
    made = card(plan(stress_relief=True))
    assert ids(made)[4:6] == ["stress-relief", "ready-to-harden"]
    heat = point(made, "stress-relief", "temperature")
    assert [heat["value"] - heat["minus"], heat["value"] + heat["plus"]] == [620, 660]


def test_stress_relief_of_a_steel_hard_from_air_follows_the_first_cycle() -> None:
    made = card(
        plan(steel="O1", target_hrc=61, bath=None, quench=[{"medium": "medium_oil"}], stress_relief=True)
    )
    assert ids(made)[1:3] == ["cycle-1", "stress-relief"]


@pytest.mark.parametrize(
    ("steel", "thickness_mm", "hardens"),
    [
        ("O1", 6.0, True), ("O2", 6.0, True), ("L6", 6.0, True), ("8670", 6.0, True),
        ("52100", 3.0, True), ("52100", 3.1, False), ("5160", 2.0, True), ("5160", 2.1, False),
        ("6150", 2.0, True), ("80CrV2", 2.0, True), ("80CrV2", 2.5, False), ("1084", 1.5, False),
    ],
)  # fmt: skip
def test_a_steel_that_hardens_in_air_is_filed_after_each_cycle(
    steel: str, thickness_mm: float, *, hardens: bool
) -> None:
    made = card(
        plan(
            steel=steel,
            thickness_mm=thickness_mm,
            target_hrc=None,
            bath=None,
            quench=[{"medium": "medium_oil"}],
            coupon={"thickness_mm": 8, "medium": "medium_oil"},
        )
    )
    assert made["limits"]["air_hardens"] is hardens
    assert ("air_hardens" in made["flags"]) is hardens
    for n in ["1", "2", "3"]:
        assert ("file_after_air" in checks(made, "cycle-" + n)) is hardens


@pytest.mark.parametrize("steel", [row["designation"] for row in data_files.load("steels")["steels"]])
def test_every_steel_has_a_card_with_its_own_heats(steel: str) -> None:
    made = card(
        plan(
            steel=steel,
            target_hrc=None,
            bath=None,
            quench=[{"medium": "medium_oil"}],
            coupon={"thickness_mm": 8, "medium": "medium_oil"},
        )
    )
    row = made["steel"]
    heats = made["limits"]["cycle_c"]
    assert heats[0] >= heats[1] >= heats[2] > 720
    assert made["limits"]["harden_c"] == row["aim_c"]
    heat = point(made, "hardening-heat", "temperature")
    assert heat["value"] + heat["plus"] <= point(made, "hardening-heat", "not_above")["value"]
    for temper_c in made["limits"]["temper_c"]:
        assert 150 <= temper_c <= 260


def test_the_first_temper_is_colder_and_is_the_oven_before_the_heat() -> None:
    made = card(plan())
    first, second = made["limits"]["temper_c"]
    assert 14 <= second - first <= 28
    assert made["limits"]["oven_set_c"] == first
    assert point(made, "ready-to-harden", "oven_temperature")["value"] == first
    assert ids(made).index("ready-to-harden") < ids(made).index("hardening-heat")


@pytest.mark.parametrize("target_hrc", [57.0, 58.0, 59.0, 60.0, 61.0])
def test_a_temper_never_comes_near_the_brittle_range(target_hrc: float) -> None:
    for temper_c in card(plan(target_hrc=target_hrc))["limits"]["temper_c"]:
        assert temper_c < 260


def test_a_harder_blade_is_tempered_colder() -> None:
    heats = [card(plan(target_hrc=hrc))["limits"]["temper_c"][1] for hrc in [57, 58, 59, 60, 61]]
    assert heats == sorted(heats, reverse=True)
    assert len(set(heats)) == 5


HALVED = {
    "brine after a coupon": ["water"],
    "clay": ["water"],
    "notch": ["notch"],
    "bolster": ["bolster"],
    "stations": ["thickness_jump"],
    "plain": [],
    "two steels": [],
    "much carbon": ["dissolved_carbon"],
}


@pytest.mark.parametrize("name", sorted(HALVED))
def test_the_brittle_clock_is_halved_for_these_reasons(name: str) -> None:
    brittle = card(VARIANTS[name])["limits"]["brittle"]
    assert [one for one in HALVED[name] if one not in brittle["halved_by"]] == []
    assert bool(brittle["halved_by"]) is bool(HALVED[name])
    stages = [brittle["reminder_s"], brittle["hurry_s"], brittle["alarm_s"]]
    assert stages == ([300, 900, 1800] if HALVED[name] else [600, 1800, 3600])


# By name: 1095 dissolves 0.93 % at its 800 degC, W1 goes into brine, 52100 keeps 0.70 % at 830.
@pytest.mark.parametrize(
    ("steel", "heat_c", "medium", "minutes"),
    [
        ("1095", 800, "fast_oil", [5, 15, 30]),
        ("W1", 780, "brine", [5, 15, 30]),
        ("52100", 830, "medium_oil", [10, 30, 60]),
    ],
)
def test_the_stages_of_the_clock_of_named_steels(
    steel: str, heat_c: float, medium: str, minutes: list[float]
) -> None:
    coupon = {"thickness_mm": 4.2, "medium": medium}
    made = card(plan(steel=steel, quench=[{"medium": medium}], bath=None, target_hrc=None, coupon=coupon))
    assert point(made, "hardening-heat", "temperature")["value"] == heat_c
    stages = [point(made, "hard", name)["value"] / 60 for name in ("reminder", "hurry", "alarm")]
    assert stages == minutes


def test_a_shop_may_be_stricter_with_the_clock_but_not_laxer() -> None:
    made = card(VARIANTS["shop's own limits"])
    assert made["limits"]["brittle"]["alarm_s"] == 1800
    assert made["limits"]["bow_limit_pct"] == 0.15
    assert point(made, "ground-ready", "bow")["sources"] == ["shopSet"]


@pytest.mark.parametrize(
    "name",
    [
        "clay",
        "edge quench",
        "oil then plates",
        "left to hand-warm",
        "brine after a coupon",
        "unknown, planned",
    ],
)
def test_there_is_no_window_here(name: str) -> None:
    made = card(VARIANTS[name])
    assert made["limits"]["window"] is None
    assert "no_window" in made["flags"]
    assert step(made, "straighten-now")["title"]["key"] == "card.title.no_window"


def test_the_window_of_the_plain_card_is_in_order() -> None:
    window = card(plan())["limits"]["window"]
    assert 0 < window["stiffening_s"] < window["to_ms_s"] < window["bend_s"] < window["gentle_s"]
    assert 260 <= window["lift_c"] <= 300
    assert window["ms_c"] < window["lift_c"]


def test_the_quench_is_a_list() -> None:
    made = card(VARIANTS["water then oil"])
    assert point(made, "quench", "medium")["value"]["key"] == "medium.water"
    assert point(made, "quench", "medium_2")["value"]["key"] == "medium.fast_oil"
    assert point(made, "quench", "hold_in_bath")["value"] == 3
    assert point(made, "quench", "hold_in_bath")["sources"] == ["asGiven"]
    assert "tanks_apart" in checks(made, "ready-to-harden")


def test_a_timed_lift_is_kept_as_given() -> None:
    assert card(VARIANTS["timed lift"])["limits"]["hold_s"] == 12


def test_plates_after_oil_straighten_the_blade() -> None:
    made = card(VARIANTS["oil then plates"])
    assert "plates_clamped" in checks(made, "quench")
    assert step(made, "straighten-now")["why"]["key"] == "card.why.no_window_plates"


def test_clay_is_dried_and_its_curve_is_meant() -> None:
    made = card(VARIANTS["clay"])
    assert ids(made).index("clay") == ids(made).index("ready-to-harden") - 1
    assert {"key": "caution.damp_clay", "facts": {}} in step(made, "clay")["cautions"]
    assert "clay_curve" in checks(made, "quench")
    assert made["limits"]["edge_need_mm"] == 2.0
    assert point(made, "ground-ready", "edge_left_with_bow")["value"] == 2.4


def test_water_without_clay_never_takes_an_edge_under_1_6_mm() -> None:
    assert card(VARIANTS["water then oil"])["limits"]["edge_need_mm"] == 1.6


def test_an_edge_quench_warns_of_the_flames_where_oil_meets_air() -> None:
    made = card(VARIANTS["edge quench"])
    assert {"key": "caution.interface_flames", "facts": {}} in step(made, "quench")["cautions"]
    assert "edge_down_level" in checks(made, "quench")
    assert "trough_depth" in checks(made, "ready-to-harden")
    assert "magnet_edge_zone" in checks(made, "hardening-heat")


def test_a_double_edge_is_twisted_upright_and_takes_two() -> None:
    made = card(VARIANTS["double edge"])
    for name in ["ground-ready", "cycle-1", "cycle-2", "cycle-3", "release"]:
        assert "twist_stations" in checks(made, name)
    twist = next(one for one in step(made, "ground-ready")["checks"] if one["check"] == "twist")
    assert twist["text"]["facts"] == {"count": 5}
    assert "vertical_tip_first" in checks(made, "quench")
    assert "two_people" in checks(made, "ready-to-harden")
    assert "tank_length" in checks(made, "ready-to-harden")


def test_a_short_blade_needs_no_second_person() -> None:
    made = card(plan(length_mm=120))
    assert "two_people" not in checks(made, "ready-to-harden")
    assert "person_told" in checks(made, "ready-to-harden")


def test_a_light_bolster_does_not_rule_the_hold() -> None:
    assert card(plan(bolster_mm=8))["limits"]["hold_s"] == card(plan())["limits"]["hold_s"]


def test_a_thick_station_outside_the_zone_does_not_rule_the_hold() -> None:
    stations = [{"at_mm": 420, "thickness_mm": 4.6}, {"at_mm": 100, "thickness_mm": 4.0}]
    zone = {"from_mm": 0, "to_mm": 300, "kind": "whole"}
    inside = card(plan(stations=stations))["limits"]
    outside = card(plan(stations=stations, hard_zone=zone))["limits"]
    assert outside["hold_s"] == card(plan())["limits"]["hold_s"]
    assert inside["hold_s"] > outside["hold_s"]
    assert [inside["thickest_mm"], outside["thickest_mm"]] == [4.6, 4.2]


def test_by_eye_widens_the_hardness_and_names_seconds_and_shade() -> None:
    eye, measured = card(VARIANTS["by eye"]), card(plan())
    wider = point(measured, "hard", "as_quenched")["minus"] + 2
    assert point(eye, "hard", "as_quenched")["minus"] == pytest.approx(wider)
    assert "by_eye_shade" in checks(eye, "hardening-heat")
    assert "thermocouple_at_set_point" not in checks(eye, "hardening-heat")
    assert "magnet_zone" in checks(eye, "hardening-heat")


@pytest.mark.parametrize("steel", ["1095", "W1", "5160", "80CrV2"])
def test_by_eye_is_called_poor_where_it_is(steel: str) -> None:
    made = card(plan(steel=steel, heat_source="forge_by_eye", target_hrc=None))
    assert [one for one in made["warnings"] if one["key"] == "card.warning.by_eye_poor"]


@pytest.mark.parametrize("steel", ["1055", "1060", "1075", "1080", "1084", "75Ni8"])
def test_by_eye_goes_without_a_warning_where_the_steel_forgives(steel: str) -> None:
    made = card(plan(steel=steel, heat_source="forge_by_eye", target_hrc=None))
    assert [one for one in made["warnings"] if one["key"] == "card.warning.by_eye_poor"] == []


def test_a_kitchen_oven_is_read_by_its_mean() -> None:
    made = card(VARIANTS["kitchen oven"])
    notes = [one["key"] for one in point(made, "ready-to-harden", "oven_temperature")["notes"]]
    assert notes == ["card.note.kitchen_mean", "card.note.kitchen_peak"]
    assert made["limits"]["oven_peak_c"] == made["limits"]["temper_c"][-1] + 15
    assert "oven_shield" in checks(made, "ready-to-harden")


def test_the_torch_comes_after_the_oven_and_only_as_a_range() -> None:
    made = card(VARIANTS["torch after"])
    assert ids(made).index("soften") > ids(made).index("temper-2")
    torch = point(made, "soften", "torch")
    assert torch["minus"] + torch["plus"] == pytest.approx(25, abs=3)
    assert "card.note.oven_first" in [one["key"] for one in torch["notes"]]


def test_two_steels_share_their_overlap() -> None:
    made = card(VARIANTS["two steels"])
    assert [made["steel"]["austenitise_low_c"], made["steel"]["austenitise_high_c"]] == [800, 815]
    assert made["limits"]["harden_c"] == 805
    assert made["limits"]["cycle_c"][-1] == 770
    assert "magnet_layers" in checks(made, "hardening-heat")
    assert "delamination" in checks(made, "release")


def test_an_unknown_bar_goes_through_coupons_and_a_temper_ladder() -> None:
    made = card(VARIANTS["unknown, planned"])
    assert ids(made)[:3] == ["look-at-bar", "coupons", "temper-ladder"]
    assert made["limits"]["harden_proven"] is False
    assert made["limits"]["file_must_not_cut_hrc"] is None
    assert [point(made, "temper-ladder", "ladder_" + str(n))["value"] for n in [1, 2, 3, 4]] == [
        190,
        205,
        220,
        235,
    ]


def test_a_proved_coupon_of_an_unknown_bar_leaves_only_the_ladder() -> None:
    made = card(VARIANTS["unknown, proved"])
    assert ids(made)[:2] == ["temper-ladder", "ground-ready"]
    assert made["limits"]["harden_proven"] is True


def test_a_coupon_thinner_than_the_blade_proves_nothing() -> None:
    thick_edge = plan(steel="1045", edge_mm=3.0, target_hrc=54, bath=None, quench=[{"medium": "medium_oil"}])
    thin = {"thickness_mm": 3.0, "medium": "medium_oil"}
    assert card({**thick_edge, "coupon": thin})["limits"]["harden_proven"] is False
    thick = {"thickness_mm": 4.2, "medium": "medium_oil"}
    made = card({**thick_edge, "coupon": thick})
    assert made["limits"]["harden_proven"] is True
    assert made["verdict"]["key"] == "verdict.proven"


def test_a_section_too_thick_for_its_bath_asks_for_a_coupon() -> None:
    made = card(plan(steel="1045", edge_mm=3.0, target_hrc=54, bath=None, quench=[{"medium": "medium_oil"}]))
    assert made["limits"]["harden_proven"] is False
    assert ids(made)[0] == "coupon"
    assert [one for one in made["warnings"] if one["key"] == "card.warning.not_proved"]


# 0.418 kg x 711.3 J/kgK x (810 - 61.5) K over 15 K; 8.35 L/kg by the rule of thumb (oneToOneRule), of oil.
@pytest.mark.parametrize(
    ("medium", "joule_l_k", "rule"), [("fast_oil", 0.87 * 1882.8, True), ("water", 4184.0, False)]
)
def test_the_bath_volume_is_told_by_both_rules(medium: str, joule_l_k: float, rule: bool) -> None:  # noqa: FBT001
    coupon = {"thickness_mm": 5.0, "medium": medium}
    made = card(plan(quench=[{"medium": medium}], bath=None, coupon=coupon))
    said = point(made, "ready-to-harden", "bath_volume")
    steel_kg = 440 * 36 * 4.2 * 0.8 * 7.85e-6
    bath_c = point(made, "ready-to-harden", "bath_temperature")["value"]
    assert said["value"] == pytest.approx(steel_kg * 711.3 * (810 - bath_c - 7.5) / (joule_l_k * 15))
    by_rule = [one["facts"] for one in said["notes"] if one["key"] == "card.note.bath_by_rule"]
    assert by_rule == ([{"rule_l": pytest.approx(8.35 * steel_kg)}] if rule else [])


def test_the_bath_rise_needs_width_and_volume() -> None:
    assert point(card(plan()), "ready-to-harden", "bath_rise")["value"] == pytest.approx(6.6, abs=0.3)
    assert [one for one in card(plan(width_mm=None))["numbers"] if one["id"] == "bath_rise"] == []


def test_a_bath_range_is_the_sheets_where_there_is_one() -> None:
    limits = card(plan())["limits"]
    assert [limits["bath_low_c"], limits["bath_high_c"]] == [35, 65]
    limits = card(plan(bath=None))["limits"]
    assert [limits["bath_low_c"], limits["bath_high_c"]] == [25, 55]


def test_the_fire_line_caps_a_sheet_that_asks_for_more() -> None:
    tight = {"flash_c": 90, "low_c": 35, "high_c": 70}
    made = card(plan(quench=FAST_OIL, bath=tight))
    assert made["limits"]["bath_high_c"] == pytest.approx(90 - 27.8)


def test_a_softened_tang_has_its_own_step() -> None:
    assert "soften" in ids(card(VARIANTS["softened tang"]))
    assert "tang_marked" not in checks(card(VARIANTS["softened tang"]), "ground-ready")
    assert "tang_dull" in checks(card(plan()), "hardening-heat")


def test_a_steel_without_tempering_figures_asks_for_a_reading() -> None:
    made = card(VARIANTS["silicon steel"])
    assert [one for one in made["warnings"] if one["key"] == "card.warning.no_temper_model"]
    assert point(made, "temper-2", "expected_after")["kind"] == "text"


def test_the_facts_are_kept_as_given() -> None:
    assert card(plan())["facts"] == plan()


def test_a_forge_is_lit_before_the_first_heat_and_before_hardening() -> None:
    made = card(plan(heat_source="forge_thermocouple"))
    for name in ("cycle-1", "hardening-heat"):
        found = point(made, name, "forge_preheat")
        assert (found["value"], found["unit"]) == (900, "s")
    assert not [one for one in step(made, "cycle-2")["set_points"] if one["id"] == "forge_preheat"]
    own = card(plan(heat_source="forge_thermocouple", shop_limits={"forge_preheat_s": 1200}))
    assert point(own, "cycle-1", "forge_preheat")["value"] == 1200


def test_a_kiln_shows_by_itself_that_it_is_hot() -> None:
    made = card(plan(heat_source="kiln"))
    for one in made["steps"]:
        assert "forge_preheat" not in [row["id"] for row in one["set_points"]]
