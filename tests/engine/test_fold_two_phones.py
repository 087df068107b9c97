"""Two phones on one hard blade, and hard blades that are not as they should be."""

from __future__ import annotations

from typing import Any

import pytest
from fold_reading import flags
from log_maker import Log, plain_card


def clock(fold: dict[str, Any], kind: str) -> dict[str, Any]:
    return next(one for one in fold["clocks"] if one["kind"] == kind)


def hard_log() -> Log:
    """A blade hard and hand-warm twenty minutes after its quench."""
    log = Log(card=plain_card()).to_hard()
    log.mark("out_of_bath", after_s=15)
    log.mark("hand_warm", after_s=1185)
    return log


def test_two_phones_that_leave_it_open_keep_the_blade_hard_until_somebody_answers() -> None:
    log = Log(card=plain_card())
    log.ground()
    for _ in range(3):
        log.cycle(0.15)
    log.get_ready().mark("hardening_fire", after_s=60)
    quench = log.mark("quenched", after_s=400)
    aborted = log.mark("heat_aborted", after_s=5, device="phone-b")
    fold = log.fold(after_s=1800)
    assert fold["state"]["id"] == "hard"
    assert fold["phase"] == "brittle.open"
    assert "hard_or_not" in flags(fold)
    log.add("choose", {"entry_id": aborted})
    assert log.fold(after_s=1800)["state"]["id"] == "cycle_cooling"
    log.entries.pop()
    log.add("choose", {"entry_id": quench})
    assert "hard_or_not" not in flags(log.fold(after_s=1800))
    assert log.fold(after_s=1800)["state"]["id"] == "hard"


def test_another_phone_that_holds_the_hard_blade_takes_it_out_of_the_oven() -> None:
    log = Log(card=plain_card()).to_hard()
    quench_ms = log.now_ms
    log.mark("in_oven", after_s=900)
    log.mark("hand_warm", after_s=60, device="phone-b")
    fold = log.fold()
    assert (fold["state"]["id"], fold["phase"]) == ("hard", "brittle.open")
    assert clock(fold, "brittle")["from_ms"] == quench_ms
    assert not clock(fold, "brittle")["paused"]
    log.mark("in_oven", after_s=60)
    assert log.fold()["state"]["id"] == "temper_in_heat"


def test_two_phones_marking_one_quench_are_one_quench_from_the_earlier_mark() -> None:
    log = Log(card=plain_card()).to_hard()
    first_ms = log.now_ms
    log.mark("quenched", after_s=7, device="phone-b")
    fold = log.fold(after_s=200)
    assert clock(fold, "brittle")["from_ms"] == first_ms
    assert fold["conflicts"][0]["check"] == "quenched"


def test_the_same_mark_twice_within_two_seconds_counts_once() -> None:
    log = Log(card=plain_card()).to_hard()
    first_ms = log.now_ms
    log.mark("quenched", after_s=1)
    fold = log.fold(after_s=200)
    assert clock(fold, "brittle")["from_ms"] == first_ms
    assert flags(fold) == []


def test_the_file_that_bites_does_not_stop_the_clock() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=400)
    log.check("file", {"answer": "bites", "place": "edge", "file_hrc": 62}, after_s=30)
    fold = log.fold()
    assert "file_bites" in [one["id"] for one in fold["findings"]]
    assert fold["next"]["mark"] == "in_oven"
    assert clock(fold, "brittle")["stages"]


def test_a_soft_spine_and_a_hard_edge_is_its_own_finding() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=400)
    log.check("file", {"answer": "skates", "place": "edge"}, after_s=30)
    log.check("file", {"answer": "bites", "place": "spine"}, after_s=30)
    found = [one["id"] for one in log.fold()["findings"]]
    assert "spine_soft_edge_hard" in found
    assert "file_bites" not in found


def test_a_scrapped_hard_blade_stays_brittle_until_broken_up() -> None:
    log = hard_log()
    log.mark("scrapped", after_s=60, body={"reason": "crack", "kept": True})
    fold = log.fold()
    assert (fold["state"]["id"], fold["word"]["key"]) == ("kept_as_sample", "fold.word.brittle")
    assert fold["hazards"] == ["BRITTLE"]
    log.mark("broken_up", after_s=60)
    assert log.fold()["word"]["key"] == "fold.word.kept"
    log.mark("in_oven", after_s=60)
    assert log.fold()["state"]["id"] == "kept_as_sample"
    assert "order" in flags(log.fold())


def test_a_blade_that_hardened_in_air_is_hard_from_the_fire_on() -> None:
    log = Log(card=plain_card(air_hardens=True)).ground()
    log.mark("in_fire", after_s=60)
    log.mark("even_heat", after_s=300)
    log.mark("out_of_fire", after_s=200)
    out_ms = log.now_ms
    log.mark("cold", after_s=1100)
    assert log.fold()["next"]["check"] == "file"
    log.check("file", {"answer": "skates", "place": "edge"}, after_s=30)
    fold = log.fold()
    assert fold["state"]["id"] == "hard"
    assert clock(fold, "brittle")["from_ms"] == out_ms
    assert (fold["next"]["mark"], fold["next"]["body"]) == ("in_fire", {"kind": "stress_relief"})
    assert fold["offers"][0]["mark"] == "in_oven"
    log.mark("in_fire", after_s=60, body={"kind": "stress_relief"})
    fold = log.fold()
    assert fold["state"]["id"] == "cycle_in_heat"
    assert [one["kind"] for one in fold["clocks"]] == []
    assert "order" not in flags(fold)


# Over 65 degC a blade is not hand-warm (practice); the card takes it as hand-warm 900 s after the quench.
@pytest.mark.parametrize(
    ("read_c", "read_after_s", "in_after_s", "flagged"),
    [
        (66, 1200, 60, ["warm_lift"]),
        (65, 1200, 60, []),
        (65, 200, 60, []),
        (90, 200, 900, []),
    ],
)
def test_a_reading_of_the_blade_says_more_than_the_time(
    read_c: float, read_after_s: float, in_after_s: float, flagged: list[str]
) -> None:
    log = Log(card=plain_card()).to_hard()
    log.check("blade_temperature", {"temperature_c": read_c}, after_s=read_after_s)
    log.mark("in_oven", after_s=in_after_s)
    assert [flag for flag in flags(log.fold()) if flag == "warm_lift"] == flagged


@pytest.mark.parametrize(("in_after_s", "flagged"), [(200, ["warm_lift"]), (1800, [])])
def test_a_reading_before_the_quench_says_nothing_of_the_blade_after_it(
    in_after_s: float, flagged: list[str]
) -> None:
    log = Log(card=plain_card())
    log.ground().cycle(0.1)
    log.check("blade_temperature", {"temperature_c": 30})
    log.get_ready().harden()
    log.mark("in_oven", after_s=in_after_s)
    assert [flag for flag in flags(log.fold()) if flag == "warm_lift"] == flagged


def test_before_hand_warm_the_first_temper_is_a_note_and_one_more_temper() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("out_of_bath", after_s=15)
    log.mark("in_oven", after_s=200)
    fold = log.fold()
    assert "warm_lift" in flags(fold)
    assert fold["state"]["id"] == "temper_in_heat"
    log.check("oven_temperature", {"temperature_c": 205}, after_s=600)
    log.mark("out_of_oven", after_s=7300)
    log.mark("cold_after_temper", after_s=1300)
    log.bow(0.1)
    log.temper()
    log.bow(0.1)
    fold = log.fold()
    assert fold["phase"] == "temper_cold.extra"
    assert fold["gates"][0]["open"], "a note, never a block"
    log.temper()
    log.bow(0.1)
    assert log.fold()["next"]["mark"] == "tempered"
