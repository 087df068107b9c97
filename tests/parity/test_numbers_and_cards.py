"""Every question gives the same answer on the phone as here, refusals included."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from common.card_cases import VARIANTS
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_facts import QUESTIONS, spoiled

from temperward.engine import api

SameAnswer = Callable[[str, Any], Any]
MADE = settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
FOLDED_ELSEWHERE = ["card_offer", "fold", "log_pictures", "paper_times"]  # they take a log


def test_every_question_is_compared() -> None:
    assert sorted([*QUESTIONS, *FOLDED_ELSEWHERE]) == api.names()


@pytest.mark.parametrize("question", sorted(QUESTIONS))
@MADE
@given(data=st.data())
def test_a_question_has_one_answer_on_both(
    question: str, data: st.DataObject, same_answer: SameAnswer
) -> None:
    same_answer(question, data.draw(QUESTIONS[question]))


@pytest.mark.parametrize("question", sorted(QUESTIONS))
@settings(MADE, max_examples=20)
@given(data=st.data())
def test_spoiled_facts_are_refused_alike_on_both(
    question: str, data: st.DataObject, same_answer: SameAnswer
) -> None:
    same_answer(question, data.draw(spoiled(QUESTIONS[question])))


@pytest.mark.parametrize("name", sorted(VARIANTS))
def test_every_kind_of_card_is_the_same_on_both(name: str, same_answer: SameAnswer) -> None:
    same_answer("make_card", VARIANTS[name])


def test_an_unknown_question_is_refused_alike(same_answer: SameAnswer) -> None:
    assert same_answer("no_such_question", {})["error"]["reason"] == "refusal.unknown_question"


def test_a_number_where_a_word_belongs_is_named_alike(same_answer: SameAnswer) -> None:
    """As text it had other last figures on the phone."""
    answer = same_answer("check_values", {"check": "magnet", "body": {"answer": 64.156}})
    assert answer["error"]["value"] == 64.156
