"""What the marks at the oven mean: at heat, a snap temper of a blade that is tempered, out without a stay."""

from __future__ import annotations

from typing import Any

import pytest
from log_maker import Log, plain_card

HEAT_UP_S = 1500  # what stands in for a thermometer: the usual 25 minutes (design)
HOLD_S = 7200


def in_the_oven(*, purpose: str = "temper") -> Log:
    """A hard blade, hand-warm, put into the oven."""
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=900)
    log.mark("in_oven", body={"purpose": purpose}, after_s=60)
    return log


def hold_due_ms(fold: dict[str, Any]) -> int:
    return int(next(clock["due_ms"] for clock in fold["clocks"] if clock["kind"] == "temper_hold"))


@pytest.mark.parametrize("marked_after_s", [600, 3000])
def test_the_hold_runs_from_the_mark_at_heat(marked_after_s: int) -> None:
    log = in_the_oven()
    log.mark("at_heat", after_s=marked_after_s)
    assert hold_due_ms(log.fold()) == log.now_ms + HOLD_S * 1000


def test_without_mark_and_thermometer_the_hold_runs_from_the_usual_heat_up() -> None:
    log = in_the_oven()
    assert hold_due_ms(log.fold()) == log.now_ms + (HEAT_UP_S + HOLD_S) * 1000


@pytest.mark.parametrize(("held_s", "done"), [(HOLD_S, 1), (HOLD_S // 2, 0)])
def test_a_mark_at_heat_stands_for_a_reading_when_it_comes_out(held_s: int, done: int) -> None:
    log = in_the_oven()
    log.mark("at_heat", after_s=600)
    log.mark("out_of_oven", after_s=held_s)
    fold = log.fold()
    assert fold["state"]["id"] == "temper_cooling"
    assert "not_hot_enough" not in [flag["id"] for flag in fold["flags"]]
    log.mark("cold_after_temper", after_s=1300)
    assert log.fold()["facts"]["temper"]["set_c"] == 205
    log.mark("in_oven", body={"purpose": "temper"}, after_s=60)
    assert log.fold()["state"]["temper"] == done + 1


@pytest.mark.parametrize(("out_after_s", "flag"), [(300, "not_hot_enough"), (HOLD_S, "no_oven_reading")])
def test_an_oven_that_was_never_at_heat_leaves_a_blade_as_hard_as_it_was(out_after_s: int, flag: str) -> None:
    log = in_the_oven()
    brittle = next(clock for clock in log.fold()["clocks"] if clock["kind"] == "brittle")
    log.check("oven_temperature", {"temperature_c": 90}, after_s=600)
    log.mark("out_of_oven", after_s=out_after_s)
    fold = log.fold()
    assert (fold["state"]["id"], fold["state"]["since_ms"]) == ("hard", brittle["from_ms"])
    assert flag in [one["id"] for one in fold["flags"]]


def test_a_short_stay_of_a_tempered_blade_does_not_make_it_a_snap_tempered_one() -> None:
    log = in_the_oven()
    log.mark("at_heat", after_s=600)
    log.mark("out_of_oven", after_s=HOLD_S + 60)
    log.mark("cold_after_temper", after_s=1300)
    log.mark("in_oven", body={"purpose": "snap"}, after_s=60)
    log.check("oven_temperature", {"temperature_c": 160}, after_s=600)
    log.mark("out_of_oven", after_s=2000)
    fold = log.fold()
    assert fold["state"]["id"] == "temper_cooling"
    assert not [clock for clock in fold["clocks"] if clock["kind"] == "brittle"]


def test_a_second_snap_temper_gives_no_new_day() -> None:
    log = in_the_oven(purpose="snap")
    log.check("oven_temperature", {"temperature_c": 160}, after_s=600)
    log.mark("out_of_oven", after_s=2000)
    first = log.fold()
    assert first["state"]["id"] == "snap_tempered"
    log.mark("in_oven", body={"purpose": "snap"}, after_s=3600)
    log.mark("out_of_oven", after_s=60)
    again = log.fold()
    assert again["state"] == first["state"]
    assert "not_hot_enough" in [flag["id"] for flag in again["flags"]]


def test_out_of_an_oven_that_it_was_never_in_is_flagged_and_changes_nothing() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=900)
    before = log.fold()["state"]
    log.mark("out_of_oven", after_s=600)
    after = log.fold()
    assert after["state"] == before
    assert "order" in [flag["id"] for flag in after["flags"]]
