"""Temper done and release: what counts as a temper, and what leaves the shop."""

from __future__ import annotations

from fold_reading import flags, item
from log_maker import Log, plain_card


def released_log() -> Log:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=950)
    log.temper()
    log.bow(0.15)
    log.temper()
    log.bow(0.15)
    log.mark("tempered", after_s=60)
    log.mark("grinding", after_s=60)
    log.mark("final_check", after_s=600)
    return log


def test_release_asks_for_what_was_promised() -> None:
    log = released_log()
    assert log.fold()["next"]["check"] == "hardness"
    log.mark("released", after_s=5)
    fold = log.fold()
    assert fold["state"]["id"] == "final_check"
    assert "gate_shut" in flags(fold)
    log.check("hardness", {"readings_hrc": [59, 60]}, after_s=5)
    assert item(log.fold(), "hardness", "release")["passed"] is None
    log.check("hardness", {"readings_hrc": [59, 60, 59.5]}, after_s=5)
    log.check("crack", {"answer": "none"}, after_s=5)
    assert item(log.fold(), "crack", "release")["passed"] is None, "how it was looked for is missing"
    log.check("crack", {"answer": "none", "method": "penetrant"}, after_s=5)
    assert log.fold()["next"]["check"] == "file"
    log.check("file", {"place": "tang", "answer": "bites"}, after_s=5)
    fold = log.fold()
    assert fold["phase"] == "final.go"
    assert fold["next"]["hold"]
    log.add("choice", {"choice": "customer_asked"})
    assert log.fold()["phase"] == "final.customer"
    log.wait(5).add("choice", {"choice": "customer_accepts"})
    log.mark("released", after_s=5)
    assert log.fold()["state"]["id"] == "released"


def test_a_temper_that_was_too_short_does_not_count_and_the_rest_is_added() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=950)
    log.temper(hold_s=5000)
    log.bow(0.1)
    fold = log.fold()
    assert (fold["phase"], fold["tempers_done"]) == ("temper_cold.again", 0)
    assert (fold["number"]["value"], fold["number"]["unit"]) == (5000 // 60, "min")
    log.mark("in_oven", after_s=60)
    log.check("oven_temperature", {"temperature_c": 205}, after_s=600)
    assert log.fold()["number"]["until_ms"] == log.now_ms + 2_200_000
    log.mark("out_of_oven", after_s=2201)
    assert log.fold()["tempers_done"] == 1


def test_a_power_cut_stops_the_count_and_a_reading_starts_it_again() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=950)
    log.mark("in_oven", after_s=60)
    log.check("oven_temperature", {"temperature_c": 205}, after_s=600)
    log.finding("power_cut_in_temper", after_s=3000)
    assert log.fold()["phase"] == "temper.cut"
    assert log.fold()["state"]["id"] == "temper_in_heat"
    log.check("oven_temperature", {"temperature_c": 39.5}, after_s=5400)
    log.check("oven_temperature", {"temperature_c": 204}, after_s=1200)
    assert log.fold()["number"]["until_ms"] == log.now_ms + 4_200_000


def test_a_power_cut_before_half_an_hour_hot_makes_it_hard_again() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=950)
    log.mark("in_oven", after_s=60)
    log.check("oven_temperature", {"temperature_c": 205}, after_s=600)
    log.finding("power_cut_in_temper", after_s=1000)
    assert log.fold()["state"]["id"] == "hard"


def test_a_cooler_oven_counts_by_what_its_time_is_worth() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=950)
    log.mark("in_oven", after_s=60)
    log.check("oven_temperature", {"temperature_c": 190}, after_s=600)
    log.mark("out_of_oven", after_s=7300)
    log.mark("cold_after_temper", after_s=1300)
    log.bow(0.1)
    fold = log.fold()
    assert fold["tempers_done"] == 0
    assert fold["number"]["value"] < 0.35 * 7300
    assert "temper_under" in [one["id"] for one in fold["findings"]]


def test_an_overshoot_is_a_finding() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=950)
    log.mark("in_oven", after_s=60)
    log.check("oven_temperature", {"temperature_c": 231}, after_s=600)
    assert "temper_overshoot" in [one["id"] for one in log.fold()["findings"]]


def test_a_blade_bowed_after_its_last_temper_is_jigged_or_gone_around() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=950)
    log.temper()
    log.bow(0.6)
    assert log.fold()["next"]["mark"] == "jigged"
    log.mark("jigged", after_s=60)
    fold = log.fold()
    assert (fold["state"]["id"], fold["hazards"]) == ("straightening_in_temper", ["HOT", "LOADED CLAMP"])
    assert (fold["phase"], fold["next"]["mark"]) == ("temper.jigged", "in_oven")
    log.mark("in_oven", after_s=60)
    log.check("oven_temperature", {"temperature_c": 205}, after_s=600)
    log.mark("out_of_oven", after_s=7300)
    log.mark("cold_after_temper", after_s=1300)
    log.bow(0.6)
    log.mark("tempered", after_s=5)
    assert "gate_shut" in flags(log.fold())
    body = {"gate": "temper_done", "items": ["straight"], "reason": "within the drawing", "initials": "MO"}
    log.add("override", body)
    assert log.fold()["next"]["mark"] == "tempered"


def checked_for_release() -> Log:
    log = released_log()
    log.check("hardness", {"readings_hrc": [59, 60, 59.5]}, after_s=5)
    log.check("crack", {"answer": "none", "method": "penetrant"}, after_s=5)
    log.check("file", {"place": "tang", "answer": "bites"}, after_s=5)
    return log


def test_a_release_asks_for_the_initials_of_whoever_releases_it() -> None:
    log = checked_for_release()
    assert item(log.fold(), "initials", "release")["value"]["facts"] == {"initials": "MO"}
    log.entries[-1]["initials"] = ""
    fold = log.fold()
    assert item(fold, "initials", "release")["passed"] is None
    assert fold["phase"] == "final.initials"
    assert fold["offers"][0]["screen"] == "settings"
    log.mark("released", after_s=5)
    log.entries[-1]["initials"] = " "
    fold = log.fold()
    assert fold["state"]["id"] == "final_check"
    shut = next(one for one in fold["flags"] if one["id"] == "gate_shut")
    assert shut["facts"]["items"] == ["initials"]
    log.mark("released", after_s=60)
    assert log.fold()["state"]["id"] == "released"
