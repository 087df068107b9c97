"""Tempering time against temperature by Hollomon and Jaffe 1945, and what a temper must keep to."""

from __future__ import annotations

import math

import pytest

from temperward.engine import data_files
from temperward.engine.api import ask
from temperward.engine.metallurgy.equivalents import (
    equivalent_hold_s,
    equivalent_temperature_c,
    interruption_steps,
    tempering_parameter_k,
    total_hold_s,
)

HOUR_S = 3600.0


@pytest.mark.parametrize(
    ("hours", "from_c", "at_c", "constant", "expected_h"),
    [
        (1, 190, 205, 17, 0.2929),
        (1, 205, 190, 17, 3.5529),
        (2, 200, 220, 17, 0.3975),
        (1, 190, 205, 20, 0.2358),
    ],
)
def test_equivalent_hold_against_hollomon_and_jaffe(
    hours: float, from_c: float, at_c: float, constant: float, expected_h: float
) -> None:
    hold_s = equivalent_hold_s(from_c, hold_s=hours * HOUR_S, at_c=at_c, constant=constant)
    assert hold_s / HOUR_S == pytest.approx(expected_h, rel=0.005)


# What two hours at 200 degC equal in 10, 30, 120 and 3600 s; what 10 and 60 s at 250 degC equal in an hour.
TORCH = [
    (15.0, 7240, [(10, 308.6), (30, 287.2), (120, 262.2), (3600, 209.5)], [(10, 160.8), (60, 188.0)]),
    (20.0, 9605, [(10, 277.5), (30, 262.8), (120, 245.4), (3600, 207.1)], [(10, 183.1), (60, 203.5)]),
]


@pytest.mark.parametrize(("constant", "parameter", "torch", "brown"), TORCH)
def test_torch_against_oven(
    constant: float, parameter: float, torch: list[tuple[float, float]], brown: list[tuple[float, float]]
) -> None:
    assert tempering_parameter_k(200.0, hold_s=7200.0, constant=constant) == pytest.approx(parameter, abs=1)
    for in_s, expected in torch:
        found = equivalent_temperature_c(200.0, hold_s=7200.0, in_s=in_s, constant=constant)
        assert found == pytest.approx(expected, abs=0.06)
    for hold_s, expected in brown:
        found = equivalent_temperature_c(250.0, hold_s=hold_s, in_s=3600.0, constant=constant)
        assert found == pytest.approx(expected, abs=0.06)


# 25 to 200 degC at 10 K a minute
@pytest.mark.parametrize(("constant", "minutes"), [(17.0, 1.3), (15.0, 1.49), (20.0, 1.10)])
def test_what_a_ramp_adds_against_hollomon_and_jaffe(constant: float, minutes: float) -> None:
    ramp = {"from_c": 25.0, "temperature_c": 200.0, "hold_s": 1050.0}
    held = {"temperature_c": 200.0, "hold_s": 7200.0}
    facts = {"at_c": 200.0, "constant": constant}
    alone = ask("temper_equivalent", {**facts, "heats": [ramp]})["answer"]["hold"]["value"]
    assert alone / 60 == pytest.approx(minutes, abs=0.05)
    together = ask("temper_equivalent", {**facts, "heats": [ramp, held]})["answer"]["hold"]["value"]
    assert together == pytest.approx(7200.0 + alone)


def test_a_ramp_up_and_down_softens_a_little_more_than_the_hold() -> None:
    held = {"temperature_c": 200.0, "hold_s": 7200.0}
    ramps = [{"from_c": 20.0, "temperature_c": 200.0, "hold_s": 1500.0}, held]
    ramps += [{"from_c": 200.0, "temperature_c": 20.0, "hold_s": 3600.0}]
    for steel in ("1084", "O1"):
        alone, ramped = [
            ask("tempered_hardness", {"steel": steel, "heats": heats})["answer"]["hrc"]["value"]
            for heats in ([held], ramps)
        ]
        assert alone - 0.15 < ramped < alone
        assert ask("tempered_hardness", {"steel": steel, "heats": ramps})["answer"]["counted_heats"] == 3


# Twenty minutes of ramp count for about one: five more at heat are a short temper still, in fit and table.
@pytest.mark.parametrize("steel", ["1084", "O1"])
def test_a_long_ramp_does_not_make_a_short_hold_long(steel: str) -> None:
    heats = [
        {"from_c": 20.0, "temperature_c": 200.0, "hold_s": 1200.0},
        {"temperature_c": 200.0, "hold_s": 300.0},
    ]
    hrc = ask("tempered_hardness", {"steel": steel, "heats": heats})["answer"]["hrc"]
    assert "note.short_hold" in [note["key"] for note in hrc["notes"]]


def test_two_single_hours_are_two_hours() -> None:
    assert total_hold_s([[200.0, 3600.0]] * 2, at_c=200.0, constant=17.0) == pytest.approx(7200.0)


@pytest.mark.parametrize(("constant", "counted_min"), [(15.0, 53.0), (20.0, 52.2)])
def test_time_counted_through_a_power_cut(constant: float, counted_min: float) -> None:
    heats = interruption_steps(set_point_c=205.0, held_s=3000.0, time_constant_s=2400.0, away_s=5400.0)
    assert total_hold_s(heats, at_c=205.0, constant=constant) / 60 == pytest.approx(counted_min, abs=0.1)


# 20 + 185 exp(-t / 40 min): 39.5 degC after 90 min, and 100 degC after 40 ln(185 / 80) = 33.5 min.
def test_the_oven_after_a_power_cut_worked_by_hand() -> None:
    away = {"set_point_c": 205.0, "held_s": 3000.0, "time_constant_s": 2400.0}
    heats = interruption_steps(**away, away_s=5400.0)
    assert heats[0] == [205.0, 3000.0]
    assert min(temperature_c for temperature_c, _ in heats) == pytest.approx(100.0, abs=1.0)
    assert sum(hold_s for _, hold_s in heats[1:]) == pytest.approx(2400.0 * math.log(185 / 80), rel=0.02)
    short = interruption_steps(**away, away_s=600.0)
    coldest_c = min(temperature_c for temperature_c, _ in short)
    assert coldest_c == pytest.approx(20 + 185 * math.exp(-0.25), abs=3.0)


@pytest.mark.parametrize(("constant", "equal_c"), [(15.0, 216.8), (20.0, 217.9)])
def test_an_overshoot_as_one_temperature(constant: float, equal_c: float) -> None:
    facts = {
        "heats": [{"temperature_c": 205.0, "hold_s": 7200.0}, {"temperature_c": 231.0, "hold_s": 1500.0}],
        "hold_s": 7200.0,
        "constant": constant,
    }
    answer = ask("temper_equivalent", facts)["answer"]["temperature"]
    assert answer["value"] == pytest.approx(equal_c, abs=0.1)
    assert answer["low"] <= equal_c + 0.1
    assert answer["high"] >= equal_c - 0.1


def test_a_constant_of_twenty_is_not_in_use() -> None:
    facts = {"heats": [{"temperature_c": 190.0, "hold_s": 3600.0}], "at_c": 205.0}
    assert ask("temper_equivalent", facts)["answer"]["constant"] == 17.0
    assert ask("temper_equivalent", facts)["answer"]["hold"]["value"] / HOUR_S == pytest.approx(
        0.2929, rel=0.005
    )


def test_a_cycle_begun_warm_does_not_count() -> None:
    facts = {"steel": "1084", "heats": [{"temperature_c": 200.0, "hold_s": 7200.0, "began_above_65": True}]}
    assert ask("tempered_hardness", facts)["error"]["reason"] == "refusal.no_cycle_counts"
    facts["heats"].append({"temperature_c": 200.0, "hold_s": 7200.0})  # type: ignore[union-attr]
    assert ask("tempered_hardness", facts)["answer"]["counted_heats"] == 1


# 14400 s at 160 count 14400 x 10^(-40 x 0.0609 / 1.938) = 797 s at 200 (temperingFit), 4397 in all; 39.77
# - 1.938 log10(4397 / 3600) + 46.94 x 0.84 - 24.60 x 0.84^2 HRC. Holds simply added would give 60.5.
@pytest.mark.parametrize("order", [1, -1])
def test_a_cooler_heat_counts_for_less_time_worked_by_hand(order: int) -> None:
    heats = [{"temperature_c": 160.0, "hold_s": 14400.0}, {"temperature_c": 200.0, "hold_s": 3600.0}][::order]
    hrc = ask("tempered_hardness", {"steel": "1084", "heats": heats})["answer"]["hrc"]["value"]
    assert hrc == pytest.approx(61.67, abs=0.01)


def test_a_spring_temper_is_refused_with_the_reason() -> None:
    error = ask("temper_for", {"steel": "5160", "target_hrc": 48.0})["error"]
    assert (error["field"], error["reason"]) == ("target_hrc", "refusal.target_in_embrittlement")
    assert (
        ask("temper_for", {"steel": "1084", "target_hrc": 66.0})["error"]["reason"]
        == "refusal.target_too_hard"
    )


def test_the_brittle_range_and_too_little_are_warned_of() -> None:
    hot = ask("tempered_hardness", {"steel": "1084", "heats": [{"temperature_c": 300.0, "hold_s": 3600.0}]})
    assert [row["key"] for row in hot["answer"]["warnings"]] == ["warning.embrittlement"]
    cool = ask("tempered_hardness", {"steel": "O1", "heats": [{"temperature_c": 140.0, "hold_s": 7200.0}]})
    assert [row["key"] for row in cool["answer"]["warnings"]] == ["warning.too_little"]


@pytest.mark.parametrize("steel", [row["designation"] for row in data_files.load("steels")["steels"]])
def test_no_temper_makes_a_steel_harder_than_the_bath_left_it(steel: str) -> None:
    ready = ask("as_quenched_hardness", {"steel": steel})["answer"]["hrc"]["value"]
    for temperature_c in (150.0, 160.0, 180.0):
        heats = [{"temperature_c": temperature_c, "hold_s": 600.0}]
        assert ask("tempered_hardness", {"steel": steel, "heats": heats})["answer"]["hrc"]["value"] <= ready


def test_an_analysis_starts_from_its_own_martensite() -> None:
    heats = [{"temperature_c": 150.0, "hold_s": 600.0}]
    low = ask("tempered_hardness", {"composition": {"c": 0.45}, "heats": heats})["answer"]["hrc"]["value"]
    assert low == pytest.approx(58.9, abs=0.1)  # astmA255: the fit alone would say 60.5
    high = ask("tempered_hardness", {"composition": {"c": 0.95}, "heats": heats})["answer"]["hrc"]["value"]
    assert 66.0 < high <= 67.0


@pytest.mark.parametrize("steel", [row["designation"] for row in data_files.load("steels")["steels"]])
def test_no_band_of_a_temper_reaches_where_a_temper_does_nothing(steel: str) -> None:
    for target_hrc in range(54, 65):
        answer = ask("temper_for", {"steel": steel, "target_hrc": target_hrc}).get("answer")
        if answer is not None:
            temperature = answer["temperature"]
            assert 150.0 <= temperature["low"] <= temperature["value"] <= temperature["high"]
            assert "warning.too_little" in [note["key"] for note in temperature["notes"]]


@pytest.mark.parametrize(
    ("target_hrc", "hold_s", "cycles"), [(58.0, 7200.0, 2), (60.0, 14400.0, 3), (61.8, 86400.0, 3)]
)
def test_the_end_of_a_steels_table_never_stands_in_the_way(
    target_hrc: float, hold_s: float, cycles: int
) -> None:
    facts = {"steel": "80CrV2", "target_hrc": target_hrc, "hold_s": hold_s, "cycles": cycles}
    plan = ask("temper_for", facts)["answer"]
    assert plan["expected"]["value"] == pytest.approx(target_hrc, abs=0.01)


@pytest.mark.parametrize("steel", [row["designation"] for row in data_files.load("steels")["steels"]])
def test_a_hardness_that_reads_as_the_end_of_a_range_is_inside_it(steel: str) -> None:
    error = ask("temper_for", {"steel": steel, "target_hrc": 67})["error"]
    for end in (error["low"], error["high"]):
        assert "answer" in ask("temper_for", {"steel": steel, "target_hrc": round(end, 1)})
    plan = {"steel": steel, "thickness_mm": 5.0, "length_mm": 150.0, "heat_source": "kiln"}
    medium = "water" if steel == "1045" else "fast_oil"
    facts = {**plan, "quench": [{"medium": medium}], "target_hrc": 66.9}
    error = ask("make_card", facts)["error"]
    assert error["field"] == "target_hrc"
    for end in (error["low"], error["high"]):
        assert "answer" in ask("make_card", {**facts, "target_hrc": round(end, 1)})
