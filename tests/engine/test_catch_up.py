"""Coming back after an absence: what is asked, in which order, and what the answers claim.

An answer comes later than what it tells of. It must not start the clock of a hard blade late, nor count a
hold that may not have been.
"""

from __future__ import annotations

from typing import Any

import pytest
from log_maker import Log, plain_card

MINUTE_S = 60
Body = dict[str, Any]


def in_the_heat() -> Log:
    """In the hardening heat, the magnet off, nothing marked since."""
    log = Log(card=plain_card()).ground()
    for _ in range(3):
        log.cycle(0.15)
    log.get_ready().mark("hardening_fire", after_s=60)
    log.check("magnet", {"answer": "none", "rising": True}, after_s=300)
    return log


def in_a_cycle() -> Log:
    log = Log(card=plain_card()).ground()
    log.mark("in_fire", after_s=60)
    return log


def in_the_oven() -> Log:
    log = Log().to_hard()
    log.mark("hand_warm", after_s=950)
    log.mark("in_oven", after_s=60, body={"purpose": "temper"})
    log.check("oven_temperature", {"temperature_c": 205}, after_s=600)
    return log


def hard() -> Log:
    return Log().to_hard()


def ready() -> Log:
    log = Log(card=plain_card()).ground()
    for _ in range(3):
        log.cycle(0.15)
    return log.get_ready()


def cooling() -> Log:
    log = in_a_cycle()
    log.mark("even_heat", after_s=300)
    log.mark("out_of_fire", after_s=200)
    return log


def asked(log: Log, *, after_s: float) -> Body:
    return dict(log.fold(after_s=after_s)["catch_up"][0])


def answer(item: Body, mark: str) -> Body:
    return next(one for one in item["answers"] if one.get("mark") == mark)


def keep(log: Log, action: Body, *, after_s: float) -> None:
    """Keep an answer as the phone does: claimed at one end, the rest of the time as its uncertainty."""
    log.wait(after_s)
    since_ms = action["between"]["from_ms"]
    apart_ms = log.now_ms - since_ms
    ago_s = apart_ms / 1000 if action["between"]["claims"] == "first" else 0
    body = {"mark": action["mark"], **action.get("body", {})}
    log.add("mark", body, ago_s=ago_s, at_source="back_dated", plus_minus_s=apart_ms / 1000)


@pytest.mark.parametrize(
    ("made", "away_s", "rank", "mark", "wrong"),
    [
        (hard, 20 * MINUTE_S, 0, "in_oven", "called_away_hard"),
        (in_the_heat, 30 * MINUTE_S, 1, "quenched", "called_away_in_heat"),
        (in_a_cycle, 30 * MINUTE_S, 1, "out_of_fire", "called_away_in_heat"),
        (in_the_oven, 240 * MINUTE_S, 2, "out_of_oven", "power_cut_in_temper"),
        (ready, 40 * MINUTE_S, 3, "hardening_fire", "bath_too_cold"),
        (cooling, 40 * MINUTE_S, 4, "cold", "phone_lost"),
    ],
    ids=["hard", "hardening heat", "cycle", "oven", "ready", "cooling"],
)
def test_each_question_has_its_rank_and_three_answers(
    made: Any, away_s: float, rank: int, mark: str, wrong: str
) -> None:
    item = asked(made(), after_s=away_s)
    assert (item["danger"], item["overdue"]) == (rank, True)
    assert item["text"]["key"].endswith(".over")
    assert item["answers"][0]["mark"] == mark
    assert [one["do"] for one in item["answers"]][-2:] in (["none", "open"], ["mark", "open"])
    assert item["answers"][1]["do"] == "none"
    assert item["answers"][-1]["finding"] == wrong


def test_nothing_is_overdue_just_after() -> None:
    for made in (hard, in_the_heat, in_a_cycle, in_the_oven, ready, cooling):
        assert asked(made(), after_s=5)["overdue"] is False


def test_a_quench_answered_late_starts_the_brittle_clock_at_its_earliest() -> None:
    log = in_the_heat()
    last_sign_ms = log.now_ms
    action = answer(asked(log, after_s=30 * MINUTE_S), "quenched")
    assert action["between"] == {"from_ms": last_sign_ms, "claims": "first"}
    keep(log, action, after_s=30 * MINUTE_S)
    fold = log.fold()
    assert fold["state"]["id"] == "hard"
    (clock,) = [one for one in fold["clocks"] if one["kind"] == "brittle"]
    assert clock["from_ms"] == last_sign_ms
    assert log.entries[-1]["plus_minus_s"] == 30 * MINUTE_S
    assert [flag["id"] for flag in fold["flags"]] == []


def test_a_heat_that_was_broken_off_meanwhile_cools_from_now() -> None:
    log = in_the_heat()
    action = answer(asked(log, after_s=30 * MINUTE_S), "heat_aborted")
    assert action["between"]["claims"] == "last"
    keep(log, action, after_s=30 * MINUTE_S)
    fold = log.fold()
    assert (fold["state"]["id"], fold["state"]["since_ms"]) == ("cycle_cooling", log.now_ms)


def test_into_the_oven_meanwhile_counts_no_hold_that_may_not_have_been() -> None:
    log = hard()
    action = answer(asked(log, after_s=40 * MINUTE_S), "in_oven")
    assert (action["body"], action["between"]["claims"]) == ({"purpose": "temper"}, "last")
    keep(log, action, after_s=40 * MINUTE_S)
    (hold,) = [one for one in log.fold()["clocks"] if one["kind"] == "temper_hold"]
    assert hold["from_ms"] >= log.now_ms


def test_out_of_the_oven_before_its_time_does_not_count_as_held() -> None:
    log = in_the_oven()
    read_ms = log.now_ms
    action = answer(asked(log, after_s=60 * MINUTE_S), "out_of_oven")
    assert action["between"] == {"from_ms": read_ms, "claims": "first"}
    assert action["label"]["key"] == "fold.do.out_of_oven"
    keep(log, action, after_s=60 * MINUTE_S)
    assert log.fold()["tempers_done"] == 0


def test_out_of_the_oven_after_its_time_counts_as_held_and_no_longer() -> None:
    log = in_the_oven()
    read_ms = log.now_ms
    action = answer(asked(log, after_s=300 * MINUTE_S), "out_of_oven")
    assert action["between"]["from_ms"] == read_ms + 7200_000
    assert action["label"]["key"] == "fold.do.out_after_hold"
    keep(log, action, after_s=300 * MINUTE_S)
    assert log.fold()["tempers_done"] == 1


def test_not_yet_and_went_wrong_write_nothing_by_themselves() -> None:
    item = asked(hard(), after_s=20 * MINUTE_S)
    assert all("between" not in one for one in item["answers"] if one["do"] != "mark")


def test_steel_in_the_fire_stands_before_a_temper_gone_on_too_long() -> None:
    fire, oven = in_a_cycle(), in_the_oven()
    forgotten = {
        "hard": hard().fold(after_s=20 * MINUTE_S)["danger"],
        "cycle": fire.fold(after_s=30 * MINUTE_S)["danger"],
        "oven": oven.fold(after_s=300 * MINUTE_S)["danger"],
        "cooling": cooling().fold(after_s=30 * MINUTE_S)["danger"],
    }
    assert sorted(forgotten, key=forgotten.__getitem__) == ["hard", "cycle", "oven", "cooling"]


@pytest.mark.parametrize(
    ("made", "at_work"),
    [(in_the_heat, "hands"), (in_a_cycle, "hands"), (hard, "hands"), (in_the_oven, "watched"), (ready, None)],
    ids=["hardening heat", "cycle", "just quenched", "oven", "ready"],
)
def test_a_blade_is_at_work_before_any_of_its_clocks_runs(made: Any, at_work: str | None) -> None:
    assert made().fold()["at_work"] == at_work


def test_the_heat_before_the_soak_has_no_clock_yet_is_at_work() -> None:
    fold = in_a_cycle().fold()
    assert fold["clocks"] == []
    assert fold["at_work"] == "hands"


def test_a_hard_blade_is_watched_and_a_released_one_is_not() -> None:
    assert hard().fold(after_s=1200)["at_work"] == "watched"
    assert Log(card=plain_card()).fold()["at_work"] is None
