"""The hard blade: its clock, the oven, and everything that must not talk it out of danger."""

from __future__ import annotations

from typing import Any

import pytest
from fold_reading import flags
from log_maker import Log, plain_card


def clock(fold: dict[str, Any], kind: str) -> dict[str, Any]:
    return next(one for one in fold["clocks"] if one["kind"] == kind)


def hard_log(**limits: Any) -> Log:
    """A blade hard and hand-warm twenty minutes after its quench."""
    log = Log(card=plain_card(**limits)).to_hard()
    log.mark("out_of_bath", after_s=15)
    log.mark("hand_warm", after_s=1185)
    return log


def test_the_brittle_clock_runs_from_the_quench_mark_with_its_three_stages() -> None:
    log = Log(card=plain_card()).to_hard()
    quench_ms = log.now_ms
    fold = log.fold(after_s=1000)
    found = clock(fold, "brittle")
    assert found["from_ms"] == quench_ms
    assert [(s["stage"], s["due_ms"] - quench_ms) for s in found["stages"]] == [
        ("reminder", 600_000),
        ("hurry", 1_800_000),
        ("alarm", 3_600_000),
    ]
    assert found["stages"][0]["useful_s"] == 1200
    assert not found["paused"]


def test_a_card_with_a_halved_clock_rings_earlier() -> None:
    halved = {"reminder_s": 300, "hurry_s": 900, "alarm_s": 1800, "halved_by": ["water"]}
    log = Log(card=plain_card(brittle=halved)).to_hard()
    assert clock(log.fold(after_s=90), "brittle")["due_ms"] == log.now_ms + 1_800_000


def test_danger_rises_with_each_stage() -> None:
    log = hard_log()
    ranks = [log.fold(after_s=seconds)["danger"] for seconds in (0, 700, 3000)]
    assert ranks == [9, 8, 7]


def test_the_oven_pauses_the_clock_and_does_not_end_it() -> None:
    log = hard_log()
    log.mark("in_oven", after_s=60)
    found = clock(log.fold(after_s=60), "brittle")
    assert found["paused"]
    assert found["stages"] == []


def test_without_a_reading_for_45_minutes_it_is_hard_again_with_its_old_start() -> None:
    log = Log(card=plain_card()).to_hard()
    quench_ms = log.now_ms
    log.mark("hand_warm", after_s=1000)
    log.mark("in_oven", after_s=60)
    assert log.fold(after_s=2699)["state"]["id"] == "temper_in_heat"
    late = log.fold(after_s=2700)
    assert late["state"]["id"] == "hard"
    assert clock(late, "brittle")["from_ms"] == quench_ms
    assert "no_oven_reading" in flags(late)
    assert late["next"]["check"] == "oven_temperature"
    assert late["offers"][0]["mark"] == "out_of_oven"


def test_a_late_reading_that_is_hot_enough_says_that_it_was_in_the_heat() -> None:
    log = hard_log()
    log.mark("in_oven", after_s=60)
    log.check("oven_temperature", {"temperature_c": 205}, after_s=3600)
    assert log.fold()["state"]["id"] == "temper_in_heat"


def test_a_cold_reading_does_not_count_as_a_reading() -> None:
    log = hard_log()
    log.mark("in_oven", after_s=60)
    log.check("oven_temperature", {"temperature_c": 120}, after_s=600)
    assert log.fold(after_s=2200)["state"]["id"] == "hard"


def test_out_of_the_oven_before_half_an_hour_hot_it_is_as_hard_as_before() -> None:
    log = hard_log()
    log.mark("in_oven", after_s=60)
    log.check("oven_temperature", {"temperature_c": 205}, after_s=300)
    log.mark("out_of_oven", after_s=1700)
    fold = log.fold()
    assert fold["state"]["id"] == "hard"
    assert "not_hot_enough" in flags(fold)


def test_a_quench_entered_late_after_the_oven_does_not_ring() -> None:
    log = Log(card=plain_card())
    log.ground()
    for _ in range(3):
        log.cycle(0.15)
    log.get_ready()
    log.mark("hardening_fire", after_s=60)
    log.wait(6000)
    log.mark("in_oven")
    before = log.fold()
    assert "order" in flags(before)
    log.mark("quenched", after_s=30, ago_s=5000)
    fold = log.fold(after_s=60)
    assert fold["state"]["id"] == "temper_in_heat"
    assert clock(fold, "brittle")["paused"]
    due = [stage["due_ms"] for one in fold["clocks"] for stage in one["stages"]]
    assert all(at_ms > log.now_ms for at_ms in due)
    assert "order" not in flags(fold)


def test_a_temper_started_before_the_quench_is_kept_and_flagged() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("in_oven", after_s=60, ago_s=120)
    fold = log.fold(after_s=3)
    assert fold["state"]["id"] in ("in_quench", "warm_window", "hard")
    assert "order" in flags(fold)
    assert {flag["shape"] for flag in fold["flags"] if flag["id"] == "order"} == {"octagon"}


@pytest.mark.parametrize("mark", ["put_aside", "grinding", "straightening", "released", "tempered", "ready"])
def test_a_hard_blade_is_not_talked_out_of_being_hard(mark: str) -> None:
    log = hard_log()
    log.mark(mark, after_s=10)
    fold = log.fold()
    assert fold["state"]["id"] == "hard"
    assert "order" in flags(fold)


def test_from_hand_warm_on_the_oven_comes_first_and_looks_are_offered_for_ten_minutes() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("out_of_bath", after_s=15)
    before = log.fold(after_s=200)
    assert (before["next"]["mark"], before["offers"][0]["mark"]) == ("hand_warm", "in_oven")
    log.mark("hand_warm", after_s=285)
    for check in ("file", "sight", "crack"):
        fold = log.fold()
        assert (fold["next"]["mark"], fold["offers"][0]["check"]) == ("in_oven", check)
        answers = {"file": "skates", "sight": "straight", "crack": "none"}
        log.check(check, {"answer": answers[check]}, after_s=20)
    assert not {"file", "sight", "crack"} & {offer.get("check") for offer in log.fold()["offers"]}


def test_the_looks_are_offered_no_longer_than_ten_minutes() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=300)
    assert "file" in [offer.get("check") for offer in log.fold(after_s=599)["offers"]]
    assert "file" not in [offer.get("check") for offer in log.fold(after_s=600)["offers"]]


def test_nothing_is_asked_until_a_minute_after_the_quench() -> None:
    log = Log(card=plain_card(window=None)).to_hard()
    log.mark("out_of_bath", after_s=15)
    log.mark("hand_warm", after_s=5)
    assert "file" not in [offer.get("check") for offer in log.fold(after_s=39)["offers"]]
    assert "file" in [offer.get("check") for offer in log.fold(after_s=41)["offers"]]


def test_the_sentence_names_the_oven_that_is_ready() -> None:
    log = hard_log()
    log.check("oven_temperature", {"temperature_c": 203}, after_s=601)
    fold = log.fold()
    assert (fold["phase"], fold["sentence"]["facts"]["value_c"]) == ("brittle.oven_ready", 203)
    assert log.fold(after_s=600)["phase"] == "brittle.oven"


def test_boiling_water_holds_the_alarm_once_for_an_hour_and_is_no_temper() -> None:
    log = hard_log()
    quench_ms = clock(log.fold(), "brittle")["from_ms"]
    log.mark("boiling_water", after_s=1200)
    boiling_ms = log.now_ms
    assert clock(log.fold(), "brittle")["due_ms"] == boiling_ms + 3_600_000
    log.mark("boiling_water", after_s=3000)
    fold = log.fold()
    assert fold["state"]["id"] == "hard"
    assert clock(fold, "brittle")["due_ms"] == boiling_ms + 3_600_000
    assert clock(fold, "brittle")["stages"][0]["due_ms"] == quench_ms + 600_000


def test_a_snap_temper_counts_after_half_an_hour_measured_and_has_a_long_clock() -> None:
    log = hard_log()
    log.mark("in_oven", after_s=60, body={"purpose": "snap"})
    log.check("oven_temperature", {"temperature_c": 152}, after_s=300)
    assert log.fold(after_s=1801)["phase"] == "temper.done"
    log.mark("out_of_oven", after_s=1800)
    fold = log.fold()
    assert (fold["state"]["id"], fold["hazards"]) == ("snap_tempered", ["BRITTLE"])
    due = [stage["due_ms"] - log.now_ms for stage in clock(fold, "snap")["stages"]]
    assert due == [14_400_000, 43_200_000, 86_400_000]
    assert fold["next"]["mark"] == "in_oven"
    assert fold["tempers_done"] == 0


def test_a_short_snap_temper_leaves_it_hard() -> None:
    log = hard_log()
    log.mark("in_oven", after_s=60, body={"purpose": "snap"})
    log.check("oven_temperature", {"temperature_c": 152}, after_s=300)
    log.mark("out_of_oven", after_s=1790)
    assert log.fold()["state"]["id"] == "hard"


def test_a_hard_blade_says_whether_its_oven_is_ready() -> None:
    log = Log(card=plain_card()).ground()
    for _ in range(3):
        log.cycle(0.15)
    log.get_ready().harden()
    log.mark("hand_warm", after_s=950)
    assert log.fold()["set"] == {"key": "fold.set.oven_unread", "facts": {"of_c": 205.0}}
    log.check("oven_temperature", {"temperature_c": 180}, after_s=10)
    assert log.fold()["set"] == {"key": "fold.set.oven_off", "facts": {"of_c": 205.0, "value_c": 180}}
    log.check("oven_temperature", {"temperature_c": 203}, after_s=10)
    fold = log.fold()
    assert fold["set"] == {"key": "fold.set.oven_ready", "facts": {"of_c": 205.0, "value_c": 203}}
    stale_ms = log.now_ms + 600_000
    assert stale_ms in fold["changes_at_ms"]
    assert log.fold(after_s=600)["set"]["key"] == "fold.set.oven_unread"


def test_so_does_a_snap_tempered_one() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=950)
    log.mark("in_oven", after_s=10, body={"purpose": "snap"})
    log.check("oven_temperature", {"temperature_c": 155}, after_s=300)
    log.mark("out_of_oven", after_s=2400)
    log.check("oven_temperature", {"temperature_c": 204}, after_s=60)
    fold = log.fold()
    assert (fold["state"]["id"], fold["set"]["key"]) == ("snap_tempered", "fold.set.oven_ready")
    assert log.now_ms + 600_000 in fold["changes_at_ms"]


def test_a_window_that_time_shut_says_stiff_then_brittle() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("out_of_bath", after_s=15)
    phases = [log.fold(after_s=seconds)["phase"] for seconds in (10, 40, 60, 76, 104, 106)]
    assert phases == [
        "window.bend",
        "window.stiffening",
        "window.gentle",
        "window.stiff",
        "window.stiff",
        "brittle.cooling",
    ]
    fold = log.fold(after_s=80)
    assert (fold["word"]["key"], fold["state"]["id"]) == ("fold.word.stiff", "hard")
    assert fold["hazards"] == ["BRITTLE"]
    assert log.now_ms + 105_000 in fold["changes_at_ms"]


def test_who_marked_it_stiff_is_not_told_so() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("out_of_bath", after_s=15)
    log.mark("stiff", after_s=30)
    assert log.fold(after_s=1)["phase"] == "brittle.cooling"


def test_what_goes_into_a_calendar_is_what_presses() -> None:
    hard_stages = Log().to_hard().fold()["clocks"][0]["stages"]
    assert [one["presses"] for one in hard_stages] == [False, True, True]
    log = Log(card=plain_card()).ground()
    log.mark("in_fire", after_s=60)
    log.mark("even_heat", after_s=300)
    (soak,) = log.fold()["clocks"]
    assert [one["presses"] for one in soak["stages"]] == [True], "the only one it has"


@pytest.mark.parametrize(
    ("file_hrc", "answer", "found", "flagged"),
    [
        (62, "bites", ["file_bites"], []),
        (None, "bites", ["file_bites"], []),
        (65, "bites", [], ["file_too_hard"]),  # it may cut a blade of 63 HRC (SAE J864: 1 to 2 points below)
        (65, "drags", [], ["file_too_hard"]),
        (65, "skates", [], []),
    ],
)
def test_only_a_file_that_must_not_cut_says_by_cutting_that_a_blade_is_soft(
    file_hrc: float | None, answer: str, found: list[str], flagged: list[str]
) -> None:
    log = hard_log()
    body = {"place": "edge", "answer": answer} | ({} if file_hrc is None else {"file_hrc": file_hrc})
    log.check("file", body, after_s=5)
    fold = log.fold()
    assert [one["id"] for one in fold["findings"] if one["id"] == "file_bites"] == found
    assert [flag for flag in flags(fold) if flag == "file_too_hard"] == flagged
    assert fold["state"]["id"] == "hard"


def test_a_cracked_blade_waits_for_its_oven_to_be_read_with_the_way_in_beside_it() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=950)
    log.check("crack", {"method": "sight", "answer": "seen"}, after_s=900)
    unread = log.fold(after_s=1)
    assert (unread["phase"], unread["next"]["check"]) == ("brittle.cracked", "oven_temperature")
    assert unread["offers"][0]["mark"] == "in_oven"
    log.check("oven_temperature", {"temperature_c": 204}, after_s=60)
    ready = log.fold(after_s=1)
    assert (ready["phase"], ready["next"]["mark"], ready["next"]["kind"]) == (
        "brittle.cracked",
        "in_oven",
        "go",
    )
    assert "oven_temperature" not in [one.get("check") for one in ready["offers"]]


def test_a_sound_blade_at_an_oven_not_ready_goes_in_with_one_press_and_not_as_a_go() -> None:
    log = Log(card=plain_card()).to_hand_warm()
    fold = log.fold(after_s=1200)
    assert (fold["phase"], fold["next"]["mark"], fold["next"]["kind"]) == ("brittle.oven", "in_oven", "wait")
    assert "oven_temperature" in [one.get("check") for one in fold["offers"]]
