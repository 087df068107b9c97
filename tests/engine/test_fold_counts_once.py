"""Readings and marks count for what they are: once, the middle of repeats, of this heat, of this blade."""

from __future__ import annotations

from typing import Any

import pytest
from fold_reading import flags, item
from log_maker import Log, plain_card


def findings(fold: dict[str, Any]) -> list[str]:
    return [one["id"] for one in fold["findings"] if one["open"]]


def cycled(count: int = 3) -> Log:
    log = Log(card=plain_card()).ground()
    for _ in range(count):
        log.cycle(0.15)
    return log


def finished() -> Log:
    log = Log().to_hand_warm()
    for _ in range(2):
        log.temper()
        log.bow(0.1)
    log.mark("tempered", after_s=10)
    log.mark("final_check", after_s=10)
    return log


def test_cold_marked_by_two_phones_is_one_cycle() -> None:
    log = cycled(2)
    log.mark("cold", after_s=20, device="phone-b")
    assert log.fold()["cycles_done"] == 2


def test_a_second_mark_of_the_hardening_heat_wipes_nothing() -> None:
    log = cycled().get_ready()
    log.mark("hardening_fire", after_s=60)
    log.check("magnet", {"answer": "none", "rising": True}, after_s=300)
    log.check("colour", {"even": True}, after_s=30)
    log.mark("hardening_fire", after_s=5, device="phone-b")
    assert log.fold(after_s=130)["phase"] == "fire.go"


@pytest.mark.parametrize(
    ("readings_mm", "verdict"),
    [([2.0, 2.0, 0.1], "over"), ([0.2, 0.2, 0.6], "within"), ([0.1, 0.9], "moderate")],
)
def test_the_middle_of_repeated_readings_is_judged(readings_mm: list[float], verdict: str) -> None:
    log = cycled(2).cycle(None)
    for bow_mm in readings_mm:
        log.bow(bow_mm)
    assert log.fold()["bows"][-1]["verdict"] == verdict


def test_a_twist_is_straightened_and_owes_a_cycle() -> None:
    log = cycled()
    log.check("twist", {"gap_mm": 3, "width_mm": 30}, after_s=5)
    fold = log.fold()
    assert (fold["phase"], fold["next"]["mark"]) == ("cold.twist", "straightening")
    assert "bow_over" in findings(fold)
    assert item(fold, "twist")["passed"] is False
    log.mark("straightening", after_s=60)
    log.mark("straightened", after_s=60)
    log.bow(0.1)
    fold = log.fold()
    assert (fold["phase"], fold["cycles_planned"]) == ("cold.twist_again", 4)
    log.check("twist", {"gap_mm": 0.1, "width_mm": 30}, after_s=5)
    assert log.fold()["phase"] == "cold.next_heat"


def test_a_jig_that_was_planned_is_used_up_by_the_next_temper() -> None:
    log = Log().to_hand_warm()
    log.temper()
    log.bow(1.0)
    log.add("choice", {"choice": "jig_planned"})
    assert (log.fold()["phase"], log.fold()["next"]["mark"]) == ("temper_cold.jig", "jigged")
    log.mark("jigged", after_s=60)
    log.temper()
    assert log.fold()["phase"] == "temper_cold.straight"
    log.bow(1.0)
    assert item(log.fold(), "straight", "temper_done")["passed"] is False
    log.add("choice", {"choice": "jig_planned"})
    log.mark("tempered", after_s=5)
    assert log.fold()["state"]["id"] == "temper_cooling"


def test_jigged_is_not_in_the_oven() -> None:
    log = Log().to_hand_warm()
    log.temper()
    log.bow(1.0)
    log.mark("jigged", after_s=10)
    fold = log.fold(after_s=9000)
    assert (fold["phase"], fold["next"]["mark"], fold["clocks"]) == ("temper.jigged", "in_oven", [])
    log.mark("out_of_oven", after_s=9000)
    assert log.fold()["tempers_done"] == 1


def test_after_a_drop_only_a_later_look_that_finds_fine_cracks_counts() -> None:
    log = Log().to_hand_warm()
    log.check("crack", {"answer": "none", "method": "penetrant"}, after_s=5)
    log.finding("dropped_hard", after_s=20)
    assert "crack_check_due" in flags(log.fold())
    log.check("crack", {"answer": "none", "method": "sight"}, after_s=20)
    assert "crack_check_due" in flags(log.fold())
    log.check("crack", {"answer": "none", "method": "penetrant"}, after_s=20)
    assert "crack_check_due" not in flags(log.fold())


def test_a_cracked_blade_that_is_reworked_is_flagged() -> None:
    log = Log().to_hand_warm()
    log.check("crack", {"answer": "seen", "method": "sight"}, after_s=5)
    log.temper()
    log.mark("rework", after_s=10)
    assert "cracked_rework" in flags(log.fold())


def test_a_crack_that_a_look_leaves_in_doubt_is_flagged() -> None:
    log = Log().to_hand_warm()
    log.check("crack", {"answer": "suspected", "method": "sight"}, after_s=5)
    assert "crack_suspected" in flags(log.fold())


@pytest.mark.parametrize(
    ("readings_hrc", "passed", "uneven"),
    [
        ([40, 40.5, 40], False, False),
        ([59, 59, 62], False, True),
        ([60, 60], None, False),
        ([59] * 3, True, False),
    ],
)
def test_hardness_is_held_to_what_was_promised(
    readings_hrc: list[float],
    passed: bool | None,  # noqa: FBT001 (a case)
    uneven: bool,  # noqa: FBT001 (a case)
) -> None:
    log = finished()
    log.check("hardness", {"readings_hrc": readings_hrc}, after_s=5)
    fold = log.fold()
    assert item(fold, "hardness", "release")["passed"] is passed
    assert ("hardness_uneven" in findings(fold)) is uneven


def test_the_customer_may_take_it_as_it_is() -> None:
    log = finished()
    log.check("hardness", {"readings_hrc": [56, 56, 56.5]}, after_s=5)
    log.wait(5).add("choice", {"choice": "customer_accepts"})
    assert item(log.fold(), "hardness", "release")["passed"] is True


def test_the_tang_is_no_evidence_of_hardness() -> None:
    card = plain_card()
    card["facts"].pop("target_hrc")
    log = Log(card=card).to_hard()
    log.check("file", {"place": "tang", "answer": "bites"}, after_s=900)
    log.check("hardness", {"place": "tang", "readings_hrc": [30, 30, 30]}, after_s=5)
    for _ in range(2):
        log.temper()
        log.bow(0.1)
    log.mark("tempered", after_s=10)
    log.mark("final_check", after_s=10)
    assert item(log.fold(), "hardness", "release")["passed"] is None


def test_the_colour_of_an_earlier_heat_says_nothing() -> None:
    log = Log(card=plain_card()).ground()
    log.mark("in_fire", after_s=60)
    log.check("colour", {"even": False}, after_s=60)
    log.mark("out_of_fire", after_s=100)
    log.mark("cold", after_s=1100)
    log.get_ready()
    log.mark("hardening_fire", after_s=5)
    assert item(log.fold(), "colour", "quench_go")["passed"] is None


def test_undo_reaches_back_ten_minutes_and_no_further() -> None:
    log = Log().to_hand_warm()
    note_id = log.wait(20_000).add("note", {"text": "x"})
    assert log.fold()["undo"]["entry_id"] == note_id
    log.add("withdraw", {"entry_id": note_id})
    assert log.fold()["undo"] is None


def test_put_aside_while_straightening_comes_back_to_where_it_was() -> None:
    log = Log(card=plain_card()).ground()
    for mark in ("straightening", "put_aside", "taken_up", "straightened"):
        log.mark(mark, after_s=10)
    assert log.fold()["state"]["id"] == "ground_ready"


def test_a_blade_put_aside_is_remembered_after_a_week() -> None:
    log = Log(card=plain_card()).ground()
    log.mark("put_aside", after_s=10)
    clock = log.fold()["clocks"][0]
    assert (clock["kind"], clock["due_ms"] - log.now_ms) == ("put_aside", 604_800_000)


def test_the_peak_of_a_kitchen_oven_can_be_too_hot() -> None:
    log = Log().to_hand_warm()
    log.mark("in_oven", after_s=60)
    log.check("oven_temperature", {"temperature_c": 205, "swing_peak_c": 235}, after_s=600)
    assert "temper_overshoot" in findings(log.fold())


def test_an_aborted_heat_is_one_more_cycle_of_as_many() -> None:
    log = cycled().get_ready()
    log.mark("hardening_fire", after_s=5)
    log.mark("heat_aborted", after_s=300)
    log.mark("cold", after_s=1200)
    assert (log.fold()["cycles_done"], log.fold()["cycles_planned"]) == (4, 4)


def test_a_tall_tube_is_fixed_against_tipping() -> None:
    log = cycled().get_ready()
    ticks = {"covers_blade": True, "lid": True, "extinguisher": True, "path": True}
    log.check("bath_ready", ticks, after_s=5)
    assert log.fold()["phase"] == "ready.tipping"


def test_what_hardened_in_air_is_shown_the_heat_that_softens_it() -> None:
    log = Log(card=plain_card(air_hardens=True)).ground().cycle(None)
    log.check("file", {"place": "edge", "answer": "skates"}, after_s=5)
    assert log.fold()["set"] == {"key": "fold.set.heat.plain", "facts": {"value_c": 650}}
    log.mark("in_fire", after_s=60, body={"kind": "stress_relief"})
    assert log.fold()["set"] == {"key": "fold.set.heat.plain", "facts": {"value_c": 650}}


def test_many_short_pieces_of_a_temper_count_no_more_than_the_whole() -> None:
    """Half an hour 20 K under the set point is worth the same, in one piece or in thirty."""
    counted = []
    for pieces in (1, 30):
        log = Log().to_hand_warm()
        log.mark("in_oven", after_s=60)
        for k in range(pieces):
            log.check(
                "oven_temperature", {"temperature_c": 185 + k % 2 * 0.001}, after_s=600 if k == 0 else 60
            )
        log.mark("out_of_oven", after_s=1800 - 60 * (pieces - 1))
        log.mark("cold_after_temper", after_s=1300)
        log.bow(0.1)
        counted.append(log.fold()["number"]["value"])
    assert counted[0] == pytest.approx(counted[1], rel=0.001)


def test_the_only_oven_of_the_shop_is_the_one_that_is_meant() -> None:
    log = cycled().get_ready()
    log.wait(1200)
    reading = {"check": "oven_temperature", "temperature_c": 206, "happened_ms": log.now_ms - 1000}
    one = [{"log_id": "kiln", "name": "Kiln", "last": [reading]}]
    assert log.fold(related={"oven": one})["phase"] == "ready.go"
    assert log.fold(related={"oven": [*one, {"log_id": "other", "last": []}]})["phase"] == "ready.oven"
