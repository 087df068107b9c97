"""A power cut and an overshoot against the tempering parameter of Hollomon and Jaffe 1945, worked by hand."""

from __future__ import annotations

from typing import Any

import pytest
from log_maker import Log

from temperward import wording
from temperward.engine import api

Body = dict[str, Any]
CUT = {"set_c": 205, "planned_s": 7200, "held_s": 3000, "away_s": 5400}
OVER = {"set_c": 205, "planned_s": 7200, "peak_c": 231, "peak_s": 1500}


def ask(question: str, facts: Body) -> Body:
    return dict(api.ask(question, facts)["answer"])


def test_a_power_cut_at_50_of_120_minutes_counts_52_to_53() -> None:
    cut = ask("power_cut", CUT)
    assert cut["counted"]["low"] / 60 == pytest.approx(52.2, abs=0.1)
    assert cut["counted"]["high"] / 60 == pytest.approx(53.0, abs=0.1)
    assert cut["run_s"] / 60 == pytest.approx(67.8, abs=0.1)
    assert cut["oven_c"] == pytest.approx(39.5, abs=0.05)
    assert cut["sentence"]["key"] == "trouble.cut.left"


@pytest.mark.parametrize("held_s", [0.0, 5e-324, 1e-9])
@pytest.mark.parametrize("away_s", [0.0, 1e-300, 5400.0])
def test_next_to_no_time_in_the_oven_counts_for_next_to_nothing(held_s: float, away_s: float) -> None:
    cut = ask("power_cut", {**CUT, "held_s": held_s, "away_s": away_s})
    nothing = ask("power_cut", {**CUT, "held_s": 0.0, "away_s": away_s})
    assert cut["run_s"] == pytest.approx(nothing["run_s"], abs=0.01)


def test_under_half_an_hour_hot_is_hard_again() -> None:
    assert ask("power_cut", {**CUT, "held_s": 300, "away_s": 600})["hard_again"] is True
    assert ask("power_cut", {**CUT, "held_s": 0, "away_s": 0})["counted"] is None


def test_more_time_done_never_leaves_more_to_do() -> None:
    left = [ask("power_cut", {**CUT, "held_s": held_s})["run_s"] for held_s in range(0, 9001, 600)]
    assert left == sorted(left, reverse=True)
    assert left[-1] == 0


def test_an_overshoot_equals_one_hotter_temper() -> None:
    over = ask("overshoot", OVER)
    assert over["equals"]["low"] == pytest.approx(216.8, abs=0.1)
    assert over["equals"]["high"] == pytest.approx(217.9, abs=0.1)
    assert over["loss_hrc"] is None
    assert over["sentence"]["key"] == "trouble.over.unknown"


@pytest.mark.parametrize(("peak_c", "said"), [(210, "small"), (300, "large")])
def test_what_it_costs_decides_what_follows(peak_c: float, said: str) -> None:
    over = ask("overshoot", {**OVER, "peak_c": peak_c, "steel": "1084"})
    assert over["loss_hrc"] > 0
    assert over["sentence"]["key"] == "trouble.over." + said


@pytest.mark.parametrize(
    ("question", "facts", "field"),
    [
        ("power_cut", {**CUT, "held_s": -1}, "held_s"),
        ("power_cut", {**CUT, "away_s": None}, "away_s"),
        ("overshoot", {**OVER, "peak_c": 190}, "peak_c"),
        ("overshoot", {**OVER, "steel": "D2"}, "steel"),
    ],
)
def test_wrong_facts_are_refused_by_name(question: str, facts: Body, field: str) -> None:
    assert api.ask(question, facts)["error"]["field"] == field


def test_each_sentence_has_words() -> None:
    answers = [ask("power_cut", CUT), ask("overshoot", {**OVER, "steel": "O1"})]
    assert all("{" not in wording.render(one["sentence"]) for one in answers)


def test_the_fold_gives_what_the_questions_need() -> None:
    log = Log().to_hard()
    assert log.fold()["facts"]["temper"] is None
    log.mark("hand_warm", after_s=600)
    log.mark("in_oven", body={"purpose": "temper"}, after_s=60)
    assert log.fold()["facts"]["temper"] == {"set_c": 205.0, "planned_s": 7200.0, "steel": "1075"}
