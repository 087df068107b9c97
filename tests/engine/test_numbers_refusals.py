"""What no question takes is refused by field and reason, and the lists are what the data files hold."""

from __future__ import annotations

import math
from typing import Any

import pytest

from temperward.engine import api, data_files
from temperward.engine.api import ask
from temperward.engine.errors import OutOfRange
from temperward.engine.look_back.outcomes import median
from temperward.engine.metallurgy.alloys import composition_sources, find, stock_of, stock_of_row
from temperward.engine.metallurgy.martensite import martensite_start
from temperward.engine.metallurgy.tempering_models import table_equivalent_c, table_of
from temperward.engine.shape.springback import sag_mm, springback_ratio
from temperward.engine.thermal.bath_hold import bath_hold_s, centre_after_c
from temperward.engine.thermal.oven import heat_up_s
from temperward.engine.thermal.still_air import cycle_cooling_s, transfer_limit_s, warm_cooling_s

SECTION = {"at_mm": 0.0, "thickness_mm": 4.0, "width_mm": 30.0}
GAPS = [{"at_mm": float(at), "gap_mm": 0.1} for at in (0, 70, 140)]
HEAT = {"temperature_c": 200.0, "hold_s": 7200.0}
WARM = {**HEAT, "began_above_65": True}
STEEL = {"steel": "1084"}


@pytest.mark.parametrize(
    ("question", "facts", "field", "reason"),
    [
        ("steels", ["1084"], "facts", "card_not_a_group"),
        ("temper_for", {}, "steel", "missing"),
        ("temper_for", {"steel": "D2", "target_hrc": 60}, "steel", "steel_d2"),
        ("temper_for", {"steel": "1084x", "target_hrc": 60}, "steel", "unknown_steel"),
        ("temper_for", {"composition": "1084", "target_hrc": 60}, "composition.c", "missing"),
        ("temper_for", {"composition": {"c": 0.8, "nb": 1}, "target_hrc": 60}, "nb", "unknown_field"),
        ("tempered_hardness", {**STEEL, "heats": []}, "heats", "missing"),
        ("tempered_hardness", {**STEEL, "heats": [HEAT] * 201}, "heats", "too_many"),
        ("tempered_hardness", {**STEEL, "heats": [{**HEAT, "from_c": 20.0}] * 21}, "heats", "too_many"),
        ("tempered_hardness", {**STEEL, "heats": [{**HEAT, "from_c": 701.0}]},
         "heats.from_c", "out_of_range"),
        ("tempered_hardness", {**STEEL, "heats": [200.0]}, "heats.temperature_c", "missing"),
        ("tempered_hardness", {**STEEL, "heats": [WARM]}, "heats", "no_cycle_counts"),
        ("tempered_hardness", {"composition": {"c": 0.42}, "heats": [HEAT]}, "composition.c", "temper_range"),
        ("will_it_harden", {**STEEL, "austenitise_c": 720, "thickness_mm": 4, "medium": "fast_oil"},
         "austenitise_c", "below_the_change"),
        ("temper_equivalent", {"heats": [HEAT]}, "at_c", "missing"),
        ("edge_allowance", {}, "heats", "missing"),
        ("edge_allowance", {"heats": [HEAT] * 21}, "heats", "too_many"),
        ("edge_allowance", {"heats": [800.0]}, "heats.temperature_c", "missing"),
        ("bevels", {"edge_mm": 0.5}, "stations", "missing"),
        ("bevels", {"stations": [SECTION] * 61, "edge_mm": 0.5}, "stations", "too_many"),
        ("bevels", {"stations": [4.0], "edge_mm": 0.5}, "stations.at_mm", "missing"),
        ("bevels", {"stations": [SECTION], "edge_mm": 4.0}, "edge_mm", "edge_over_spine"),
        ("straightness", {"stations": GAPS[:2]}, "stations", "three_stations"),
        ("straightness", {"stations": GAPS * 21}, "stations", "too_many"),
        ("straightness", {"stations": [0.1, 0.2, 0.3]}, "stations.at_mm", "missing"),
        ("straightness", {"stations": [*GAPS, GAPS[0]]}, "stations.at_mm", "same_station"),
        ("warp_trend", {"bows": [0.1]}, "bows", "two_bows"),
        ("warp_trend", {"bows": [0.1] * 21}, "bows", "too_many"),
        ("look_back", {}, "outcomes", "missing"),
        ("look_back", {"outcomes": [1]}, "outcomes", "missing"),
        ("look_back", {"outcomes": [{}] * 5001}, "outcomes", "too_many"),
        ("will_it_harden", {**STEEL, "thickness_mm": 4, "medium": "lava"}, "medium", "unknown_medium"),
        ("springback", {"bow_mm": 19.0, "span_mm": 60.0, "thickness_mm": 4.0, "state": "tempered",
                        "tempered_c": 200.0}, "bow_mm", "jig_strain"),
        ("springback", {"bow_mm": 1.0, "span_mm": 60.0, "thickness_mm": 4.0, "state": "tempered"},
         "tempered_c", "missing"),
        ("hardness_scales", {"hrc": 19.9}, "hrc", "out_of_range"),
        ("hardness_scales", {"hrc": 68.1}, "hrc", "out_of_range"),
        ("thermocouple_tolerance", {"temperature_c": 800, "kind": "Z"}, "kind", "unknown_name"),
        ("thermocouple_tolerance", {"temperature_c": 800, "kind": "N", "grade": "iec_1"},
         "grade", "unknown_name"),
        ("thermocouple_tolerance", {"temperature_c": 371, "kind": "T"}, "temperature_c", "out_of_range"),
        ("flash_margin", {"flash_c": 180.0, "bath_c": 180.0}, "bath_c", "above_flash"),
        ("no_such_question", {}, "question", "unknown_question"),
    ],
)  # fmt: skip
def test_what_it_does_not_take_is_refused_by_field_and_reason(
    question: str, facts: Any, field: str, reason: str
) -> None:
    error = ask(question, facts)["error"]
    assert (error["field"], error["reason"]) == (field, "refusal." + reason)


def test_the_lists_are_what_the_data_files_hold() -> None:
    assert ask("steels", {})["answer"] == data_files.load("steels")
    assert ask("media", {})["answer"] == data_files.load("media")
    assert ask("models", {})["answer"] == data_files.load("models")["models"]
    sources = ask("sources", {})["answer"]
    assert [row["id"] for row in sources] == sorted(data_files.load("sources"))
    assert all(row["verified"] for row in sources)
    assert api.names() == sorted(api.names())
    assert "will_it_harden" in api.names()


def test_json_in_is_json_out() -> None:
    assert '"error"' in api.ask_json("temper_for", "{}")
    assert '"refusal.unknown_question"' in api.ask_json("no_such_question", "{}")


def test_a_bar_of_known_analysis_names_the_mill() -> None:
    named, own = stock_of_row(find("1084")), stock_of({"steel": "1084", "composition": {"c": 0.8}})
    assert composition_sources(own) == ["millAnalysis"]
    assert composition_sources(named) == find("1084")["sources"]["composition"]
    ms_c = [martensite_start(stock, austenitise_c=810.0)["value"] for stock in (own, named)]
    assert ms_c[0] > ms_c[1]


def test_nothing_cools_upwards_and_nothing_warms_beyond_the_oven() -> None:
    assert warm_cooling_s(thickness_mm=4.0, from_c=100.0, to_c=150.0) == 0.0
    assert cycle_cooling_s(thickness_mm=4.0, from_c=40.0) == 0.0
    assert transfer_limit_s(edge_mm=1.0, from_c=700.0) == 0.0
    assert heat_up_s(thickness_mm=4.0, oven_c=22.0) == 0.0
    cold = {"thickness_mm": 4.0, "bath_c": 50.0, "hold_s": 5.0, "least_c": 150.0}
    assert centre_after_c("fast_oil", from_c=140.0, **cold) == 140.0
    assert centre_after_c("fast_oil", from_c=800.0, **{**cold, "hold_s": 1e6}) == pytest.approx(150.0, abs=10)


def test_a_blade_no_hotter_than_the_lift_needs_no_time_in_the_bath() -> None:
    facts = {"thickness_mm": 4.0, "bath_c": 50.0, "to_c": 260.0}
    assert bath_hold_s("fast_oil", from_c=250.0, **facts) == 0.0
    assert bath_hold_s("fast_oil", from_c=800.0, **facts) > 5.0


def test_a_double_edge_is_a_diamond() -> None:
    facts = {"stations": [SECTION], "edge_mm": 0.5, "double_edge": True}
    angle = ask("bevels", facts)["answer"]["stations"][0]["per_side_deg"]
    assert angle == pytest.approx(math.degrees(math.atan(3.5 / 30.0)))


def test_an_outcome_that_says_nothing_of_cracks_is_not_counted_among_them() -> None:
    cracks = ask("look_back", {"outcomes": [{"bow_mm": 0.2}, {"cracked": True}]})["answer"]["cracks"]
    assert (cracks["count"], cracks["of"]) == (1, 1)


def test_plates_straighten_faster_than_air() -> None:
    facts = {"steel": "1084", "thickness_mm": 4.0, "from_c": 260.0}
    air = ask("straightening_window", facts)["answer"]["to_10_pct"]["value"]
    plates = ask("straightening_window", {**facts, "still_air": False})["answer"]["to_10_pct"]["value"]
    assert plates < air / 3


def test_a_bath_answers_blade_by_blade_and_stops_counting_at_its_limit() -> None:
    facts = {"steel_kg": 0.1735, "steel_c": 845.0, "bath_c": 50.0, "litres": 12.0, "blades": 6}
    answer = ask("bath_rise", {**facts, "limit_c": 65.0})["answer"]
    assert answer["bath_c_after"] == pytest.approx([54.96, 59.89, 64.78, 69.65, 74.49, 79.29], abs=0.05)
    assert answer["blades_before_limit"] == 3
    assert answer["rise"]["low"] < answer["rise"]["value"] < answer["rise"]["high"]
    assert answer["litres_per_kg"] == pytest.approx(12.0 / 0.1735)
    assert "blades_before_limit" not in ask("bath_rise", facts)["answer"]
    sea = {**facts, "litres": 1000.0, "bath_c": 20.0, "limit_c": 200.0}
    assert ask("bath_rise", sea)["answer"]["blades_before_limit"] == 200
    water = ask("bath_rise", {**facts, "liquid": "water"})["answer"]
    assert water["rise"]["value"] < answer["rise"]["value"]
    assert "tube" not in ask("bath_size", {"steel_kg": 1.0})["answer"]


# Worked by the textbook ratio itself: what is bent so far springs back to the wanted bow (beamBending)
@pytest.mark.parametrize(("bow_mm", "thickness_mm"), [(0.3, 3.0), (1.0, 4.0), (4.0, 2.0)])
def test_a_soft_blade_bent_past_straight_springs_back_by_its_bow(bow_mm: float, thickness_mm: float) -> None:
    facts = {"bow_mm": bow_mm, "span_mm": 150.0, "thickness_mm": thickness_mm, "state": "soft"}
    over = ask("springback", facts)["answer"]["overbend"]
    radius = 150.0**2 / (8.0 * over["value"])
    stays = springback_ratio(bend_radius_mm=radius, yield_mpa=500.0, thickness_mm=thickness_mm) / radius
    assert sag_mm(radius_mm=1.0 / stays, span_mm=150.0) == pytest.approx(bow_mm, rel=1e-6)
    assert bow_mm < over["low"] < over["value"] < over["high"]


def test_a_shim_stops_at_the_strain_and_says_so() -> None:
    facts = {"span_mm": 150.0, "thickness_mm": 4.0, "state": "tempered", "tempered_c": 200.0}
    free = ask("springback", {**facts, "bow_mm": 0.3})["answer"]["shim"]
    assert "note.shim_limited" not in [note["key"] for note in free["notes"]]
    asked = [ask("springback", {**facts, "bow_mm": bow / 10}) for bow in range(1, 60)]
    shims = [found["answer"]["shim"] for found in asked if "answer" in found]
    held = next(one for one in shims if "note.shim_limited" in [note["key"] for note in one["notes"]])
    assert held["value"] == held["high"]
    with pytest.raises(OutOfRange) as refused:
        springback_ratio(bend_radius_mm=1e6, yield_mpa=450.0, thickness_mm=4.0)
    assert refused.value.reason == "refusal.only_springs"


def test_small_formulas_at_their_ends() -> None:
    assert median([3.0, 1.0, 2.0]) == 2.0
    assert median([3.0, 1.0]) == 2.0
    table = table_of(find("W1"))
    assert table is not None
    assert table_equivalent_c(table, heats=[]) == 0.0
    trend = ask("warp_trend", {"bows": [{"bow_mm": 0.15, "cycle": 0}, {"bow_mm": 0.3, "cycle": 1}]})
    assert trend["answer"]["steps_mm"] == pytest.approx([0.15])
