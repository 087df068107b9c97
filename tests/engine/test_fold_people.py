"""People first: fire, gas and injury come before every blade."""

from __future__ import annotations

import pytest
from fold_reading import flags
from log_maker import Log, plain_card

KINDS = [("tank_fire", "fire"), ("co_alarm", "co"), ("someone_hurt", "hurt")]


@pytest.mark.parametrize(("finding", "kind"), KINDS)
def test_it_stands_above_everything_and_silences_every_clock(finding: str, kind: str) -> None:
    log = Log(card=plain_card()).to_hard()
    log.finding(finding, after_s=2)
    fold = log.fold(after_s=4000)
    assert (fold["people"], fold["shape"], fold["danger"]) == (kind, "octagon", 0)
    assert fold["clocks"] == []
    assert fold["catch_up"] == []
    assert fold["word"]["key"] == "fold.word." + kind
    assert fold["next"]["mark"] == "all_clear"


@pytest.mark.parametrize("state", ["hardening_heat", "in_quench", "hard"])
def test_after_the_all_clear_the_blade_was_left_hard_for_an_unknown_time(state: str) -> None:
    log = Log(card=plain_card()).to_hard()
    if state == "hardening_heat":
        log.entries.pop()
    quench_ms = log.now_ms
    log.finding("tank_fire", after_s=200 if state == "hard" else 2)
    fire_ms = log.now_ms
    log.mark("all_clear", after_s=7200)
    fold = log.fold()
    assert fold["people"] is None
    assert fold["state"]["id"] == "hard"
    assert "left_hard_unknown" in flags(fold)
    start_ms = fire_ms if state == "hardening_heat" else quench_ms
    assert fold["clocks"][0]["from_ms"] == start_ms
    actions = [fold["next"], *fold["offers"], *fold["more"]]
    assert "in_oven" in [action.get("mark") for action in actions]


def test_a_blade_that_was_not_being_hardened_comes_back_as_it_was() -> None:
    log = Log(card=plain_card()).ground().cycle(0.15)
    log.finding("someone_hurt", after_s=2)
    log.mark("all_clear", after_s=600)
    fold = log.fold()
    assert (fold["state"]["id"], flags(fold)) == ("cycle_checked", [])


def test_fire_stands_above_gas_and_gas_above_an_injury() -> None:
    log = Log(card=plain_card())
    log.finding("someone_hurt", after_s=1)
    assert log.fold()["people"] == "hurt"
    log.finding("co_alarm", after_s=1)
    assert log.fold()["people"] == "co"
    log.finding("tank_fire", after_s=1)
    assert log.fold()["people"] == "fire"
    log.mark("all_clear", after_s=60)
    assert log.fold()["people"] is None


def test_a_flare_up_that_nobody_closes_is_a_fire() -> None:
    log = Log(card=plain_card()).to_hard()
    log.finding("flare_up", after_s=4)
    assert log.fold(after_s=14)["people"] is None
    assert log.fold(after_s=15)["people"] == "fire"


def test_a_flare_up_that_was_pushed_under_is_not() -> None:
    log = Log(card=plain_card()).to_hard()
    flare = log.finding("flare_up", after_s=4)
    log.wait(5).add("finding_closed", {"entry_id": flare})
    assert log.fold(after_s=60)["people"] is None
    log.finding("flare_up", after_s=4, ago_s=30)
    assert log.fold(after_s=60)["people"] is None


def test_whoever_goes_on_marking_is_not_before_a_fire() -> None:
    log = Log(card=plain_card()).to_hard()
    log.finding("flare_up", after_s=4)
    log.mark("out_of_bath", after_s=10)
    assert log.fold(after_s=60)["people"] is None


def test_a_second_flare_on_top_of_the_first_is_a_fire_at_once() -> None:
    log = Log(card=plain_card()).to_hard()
    log.finding("flare_up", after_s=4)
    log.finding("flare_up", after_s=3)
    assert log.fold()["people"] == "fire"


def test_marks_go_on_being_kept_meanwhile() -> None:
    log = Log(card=plain_card()).to_hard()
    log.finding("tank_fire", after_s=2)
    log.mark("in_oven", after_s=600)
    assert log.fold()["people"] == "fire"
    log.mark("all_clear", after_s=60)
    fold = log.fold()
    assert fold["state"]["id"] == "temper_in_heat"
    assert "left_hard_unknown" not in flags(fold)
