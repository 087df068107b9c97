"""The bench leaves no question out, and what it asks is answered."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from temperward.engine import api

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "bench"))  # the facts are the bench's own

from engine_questions import FACTS, OF_LOGS


def test_the_bench_has_facts_for_every_question_that_is_not_of_a_log() -> None:
    assert sorted([*FACTS, *OF_LOGS]) == sorted(api.names())


@pytest.mark.parametrize("question", sorted(FACTS))
def test_what_the_bench_asks_is_answered(question: str) -> None:
    assert "answer" in api.ask(question, FACTS[question])
