"""Reading the log: two orders, corrections, undo, two phones, and what this engine cannot read."""

from __future__ import annotations

from typing import Any

import pytest
from fold_reading import flags
from log_maker import Log, plain_card

from temperward.engine import api


def cooling_log() -> Log:
    log = Log(card=plain_card()).ground()
    log.mark("in_fire", after_s=60)
    log.mark("even_heat", after_s=300)
    log.mark("out_of_fire", after_s=200)
    return log


def test_an_empty_log_is_a_planned_blade() -> None:
    log = Log()
    fold = log.fold()
    assert (fold["state"]["id"], fold["count"], fold["last_id"], fold["undo"]) == ("planned", 0, None, None)


def test_tag_and_name_come_from_the_log() -> None:
    fold = Log(card=plain_card()).fold()
    assert (fold["tag"], fold["name"]) == ("QF-102", "long single-edge")


def test_a_back_dated_mark_moves_every_clock() -> None:
    log = cooling_log()
    until_ms = log.fold()["number"]["until_ms"]
    target = log.entries[-1]
    log.wait(5).add("correct", {"entry_id": target["id"], "happened_ms": target["happened_ms"] - 30_000})
    fold = log.fold()
    assert fold["number"]["until_ms"] == until_ms - 30_000
    assert fold["corrected"] == [{"entry_id": target["id"], "by": log.entries[-1]["id"]}]


def test_a_correction_of_a_value_keeps_one_reading() -> None:
    log = Log(card=plain_card()).ground().cycle(0.30)
    target = log.entries[-1]["id"]
    log.wait(5).add(
        "correct", {"entry_id": target, "body": {"check": "bow", "bow_mm": 0.2, "length_mm": 420}}
    )
    fold = log.fold()
    assert [bow["bow_mm"] for bow in fold["bows"]] == [0.15, 0.2]
    first = log.entries[-1]["id"]
    log.wait(5).add(
        "correct", {"entry_id": first, "body": {"check": "bow", "bow_mm": 0.25, "length_mm": 420}}
    )
    assert [bow["bow_mm"] for bow in log.fold()["bows"]] == [0.15, 0.25]


def test_a_correction_that_makes_nonsense_changes_nothing_and_is_unread() -> None:
    log = Log(card=plain_card()).ground().cycle(0.30)
    target = log.entries[-1]["id"]
    entry_id = log.wait(5).add("correct", {"entry_id": target, "body": {"check": "bow", "bow_mm": "much"}})
    fold = log.fold()
    assert fold["bows"][-1]["bow_mm"] == 0.30
    assert fold["unread"] == [entry_id]


def test_undo_takes_back_one_entry_a_press_and_lasts_ten_minutes() -> None:
    log = cooling_log()
    undo = log.fold()["undo"]
    assert undo == {
        "entry_id": log.entries[-1]["id"],
        "until_ms": log.now_ms + 600_000,
        "device_id": "phone-a",
    }
    assert log.fold(after_s=600)["undo"] is None
    log.wait(5).add("withdraw", {"entry_id": undo["entry_id"]})
    fold = log.fold()
    assert fold["state"]["id"] == "cycle_in_heat"
    assert fold["withdrawn"] == [undo["entry_id"]]
    assert fold["undo"] == {
        "entry_id": log.entries[-3]["id"],
        "until_ms": log.entries[-3]["written_ms"] + 600_000,
        "device_id": "phone-a",
    }


def test_taking_a_withdrawal_back_brings_the_entry_back() -> None:
    log = cooling_log()
    withdraw_id = log.wait(5).add("withdraw", {"entry_id": log.entries[-1]["id"]})
    log.wait(5).add("withdraw", {"entry_id": withdraw_id})
    assert log.fold()["state"]["id"] == "cycle_cooling"


def test_a_live_mark_after_the_clock_went_back_stays_behind_and_is_flagged() -> None:
    log = cooling_log()
    log.now_ms -= 7 * 60_000
    log.mark("cold", after_s=0)
    fold = log.fold()
    assert fold["state"]["id"] == "cycle_checked"
    assert fold["state"]["since_ms"] == log.now_ms
    assert [flag["facts"]["behind_s"] for flag in fold["flags"] if flag["id"] == "clock_changed"] == [420]
    assert fold["shop_order"][-1] == log.entries[-1]["id"]


def test_a_clock_trimmed_by_a_second_is_no_flag() -> None:
    log = cooling_log()
    log.now_ms -= 1000
    log.mark("cold", after_s=0)
    assert flags(log.fold()) == []


def test_a_back_dated_mark_may_stand_before_what_was_written_earlier() -> None:
    log = Log(card=plain_card()).ground()
    log.mark("in_fire", after_s=60)
    log.mark("out_of_fire", after_s=600)
    even = log.mark("even_heat", after_s=30, ago_s=300)
    fold = log.fold()
    assert fold["shop_order"][-2] == even
    assert flags(fold) == []


def test_two_phones_make_one_history_whatever_arrives_first() -> None:
    log = Log(card=plain_card()).ground()
    log.mark("in_fire", after_s=60)
    log.mark("even_heat", after_s=300, device="phone-b")
    log.mark("out_of_fire", after_s=200)
    log.mark("cold", after_s=1100, device="phone-b")
    mixed = [*log.entries[::2], *log.entries[1::2]]
    facts = log.facts()
    assert api.ask("fold", {**facts, "entries": mixed}) == api.ask("fold", facts)
    assert flags(log.fold()) == []


def test_values_of_two_phones_stay_side_by_side_until_somebody_chooses() -> None:
    log = Log(card=plain_card()).ground().cycle(0.15)
    first = log.entries[-1]["id"]
    second = log.bow(0.9, device="phone-b")
    fold = log.fold()
    assert fold["conflicts"] == [{"check": "bow", "entry_ids": [first, second]}]
    assert "conflict" in flags(fold)
    assert fold["phase"] == "cold.bow_moderate", "the worse value counts while it is open"
    log.wait(5).add("choose", {"entry_id": first})
    fold = log.fold()
    assert "conflict" not in flags(fold)
    assert fold["phase"] == "cold.next_heat"


def test_readings_repeated_on_one_phone_count_by_their_middle() -> None:
    log = Log(card=plain_card()).ground().cycle(0.15)
    log.bow(0.50)
    log.bow(0.20)
    fold = log.fold()
    assert fold["conflicts"] == []
    assert fold["phase"] == "cold.next_heat"


def test_what_a_newer_version_made_is_kept_and_changes_nothing() -> None:
    log = cooling_log()
    before = log.fold()
    strange = [
        log.add("ultrasound", {"echo": 3}),
        log.add("mark", {"mark": "cold"}, version=2),
        log.add("mark", {"mark": "frozen"}),
        log.add("check", {"check": "magnet", "answer": "perhaps"}),
        log.add("finding", {"finding": "sang"}),
    ]
    fold = log.fold()
    assert fold["unread"] == strange
    assert (fold["state"], fold["next"], fold["flags"]) == (before["state"], before["next"], before["flags"])


def test_an_erased_note_is_still_an_entry() -> None:
    log = cooling_log()
    log.add("note", {"erased": True})
    assert log.fold()["unread"] == []


BROKEN: list[dict[str, Any]] = [
    {"log_id": "another"},
    {"log_kind": "bar"},
    {"device_id": ""},
    {"kind": ""},
    {"lamport": 2**53},
    {"lamport": "3"},
    {"happened_ms": 1.5},
    {"written_ms": True},
    {"version": None},
    {"body": "text"},
    {"at_source": "dreamt"},
    {"plus_minus_s": -1},
]


@pytest.mark.parametrize("change", BROKEN, ids=str)
@pytest.mark.parametrize("place", [0, 3, -1])
def test_one_broken_or_stray_line_takes_no_clock_away(change: dict[str, Any], place: int) -> None:
    log = Log(card=plain_card()).to_hard()
    whole = log.fold()
    assert whole["clocks"]
    stray = {**log.entries[1], "id": "stray", **change}
    log.entries.insert(place if place >= 0 else len(log.entries), stray)
    assert log.fold() == {**whole, "unread": ["stray"]}


def test_a_broken_line_under_the_id_of_a_whole_one_hides_it_not() -> None:
    log = Log(card=plain_card()).to_hard()
    whole = log.fold()
    log.entries.insert(0, {**log.entries[-1], "device_id": ""})
    assert log.fold() == {**whole, "unread": [log.entries[-1]["id"]]}


def test_facts_that_nobody_asked_for_are_refused() -> None:
    assert api.ask("fold", {**Log().facts(), "limit": 3})["error"]["field"] == "limit"
    assert api.ask("fold", {**Log().facts(), "now_ms": 1.5})["error"]["field"] == "now_ms"
    assert api.ask("fold", {**Log().facts(), "log_kind": "sword"})["error"]["field"] == "log_kind"


def test_put_aside_comes_back_to_where_it_was() -> None:
    log = Log(card=plain_card()).ground().cycle(0.15)
    log.mark("put_aside", after_s=60)
    assert log.fold()["shape"] == "square"
    log.mark("taken_up", after_s=86_400)
    assert log.fold()["state"]["id"] == "cycle_checked"
    assert log.fold()["next"]["mark"] == "in_fire"


def test_a_new_card_takes_the_place_of_the_old() -> None:
    log = Log(card=plain_card()).ground()
    card_id = log.add("card_made", {"card": plain_card(cycles=1), "replaces": log.entries[1]["id"]})
    log.cycle(0.15)
    assert log.fold()["next"]["mark"] == "ready"
    assert log.fold()["card_id"] == card_id


def test_rework_starts_the_cycles_again_and_a_third_time_is_flagged() -> None:
    log = Log(card=plain_card()).to_hard()
    for _ in range(3):
        log.mark("hand_warm", after_s=950)
        log.temper()
        log.mark("rework", after_s=60)
        assert (log.fold()["cycles_done"], log.fold()["next"]["mark"]) == (0, "in_fire")
        for _ in range(3):
            log.cycle(0.15)
        log.get_ready().harden()
    fold = log.fold()
    assert fold["tempers_done"] == 0
    assert "too_many_rehardens" in flags(fold)


def test_a_large_bow_owes_one_full_cycle_after_straightening() -> None:
    log = Log(card=plain_card()).ground()
    for bow_mm in (0.15, 0.15, 1.5):
        log.cycle(bow_mm)
    assert (log.fold()["phase"], log.fold()["shape"]) == ("cold.bow_over", "octagon")
    log.mark("straightening", after_s=60)
    log.mark("straightened", after_s=60)
    log.bow(0.1)
    fold = log.fold()
    assert (fold["next"]["mark"], fold["cycles_planned"]) == ("in_fire", 4)
    log.cycle(0.1)
    assert log.fold()["next"]["mark"] == "ready"


def test_a_cause_that_was_found_answers_the_growing_bow() -> None:
    log = Log(card=plain_card()).ground()
    for bow_mm in (0.15, 0.30, 0.55):
        log.cycle(bow_mm)
    assert "trend" in flags(log.fold())
    log.wait(5).add("choice", {"choice": "cause_tried", "text": "rested on one cold brick"})
    assert "trend" not in flags(log.fold())


def test_dealing_with_the_growing_bow_is_the_same_as_naming_its_cause() -> None:
    log = Log(card=plain_card()).ground()
    for bow_mm in (0.30, 0.55):
        log.cycle(bow_mm)
    fold = log.fold()
    grown = next(one for one in fold["findings"] if one["id"] == "bow_growing")
    assert (fold["phase"], grown["open"]) == ("cold.trend", True)
    log.wait(5).add("finding_closed", {"entry_id": grown["entry_id"], "text": "cold brick taken away"})
    assert "trend" not in flags(log.fold())
    assert log.fold()["next"]["mark"] == "straightening"


def test_a_finding_of_the_readings_can_be_closed() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=950)
    entry_id = log.check("sight", {"answer": "bowed"}, after_s=20)
    log.add("finding_closed", {"entry_id": entry_id})
    assert [one["open"] for one in log.fold()["findings"] if one["id"] == "warp_cold_hard"] == [False]


def test_a_blade_that_is_straight_enough_has_nothing_open() -> None:
    """It is told, but not as something to be dealt with, in the shape of stop."""
    log = Log(card=plain_card()).ground()
    for bow_mm, verdict in ((0.15, "bow_within"), (0.60, "bow_moderate")):
        log.cycle(bow_mm)
        said = {one["id"]: one["open"] for one in log.fold()["findings"]}
        assert said[verdict] is (verdict != "bow_within")


def test_a_bow_read_out_of_the_bath_says_so() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("out_of_bath", after_s=15)
    log.bow(0.6, after_s=10)
    assert log.fold()["bows"][-1]["after"]["key"] == "fold.after.bath"
    log.bow(0.6, after_s=900)
    assert log.fold()["bows"][-1]["after"]["key"] == "fold.after.quench"


def test_scatter_is_no_trend() -> None:
    log = Log(card=plain_card()).ground()
    for bow_mm in (0.20, 0.28, 0.35):
        log.cycle(bow_mm)
    assert "trend" not in flags(log.fold())


def test_the_log_of_a_thing_folds_to_what_was_said_last() -> None:
    log = Log(log_id="oven-1")
    log.add("made", {"name": "Convection oven", "offset_k": 9})
    log.wait(60).add("changed", {"offset_k": 8})
    log.check("oven_temperature", {"temperature_c": 200}, after_s=60)
    log.check("oven_temperature", {"temperature_c": 204}, after_s=60)
    gone = log.wait(5).add("changed", {"name": "wrong"})
    log.wait(5).add("withdraw", {"entry_id": gone})
    for entry in log.entries:
        entry["log_kind"] = "oven"
    answer = api.ask("fold", {**log.facts(), "log_kind": "oven"})["answer"]
    assert (answer["name"], answer["facts"]["offset_k"], answer["kind"]) == ("Convection oven", 8, "oven")
    assert answer["last"][0]["temperature_c"] == 204
    assert answer["last"][0]["happened_ms"] == log.now_ms - 10_000
    assert answer["withdrawn"] == [gone]
