"""Every question, every number it takes: what is no number, or none of this world, is refused by its name."""

from __future__ import annotations

import copy
import math
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from temperward.engine.api import ask

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "bench"))  # the facts are the bench's own

from engine_questions import FACTS

Place = tuple[str | int, ...]
NOT_A_NUMBER: list[Any] = [math.nan, math.inf, -math.inf, "4,2", True, [], {}]
NOT_OF_THIS_WORLD = [1e12, -1e12]
OF_CARDS = ("batch", "make_card", "card_pictures")  # a number of theirs may have no end that can be named
# Instants have no upper end: a clock that is wrong by years is the log's business.
INSTANTS = ("now_ms", "load_ms", "quenched_ms", "read_ms", "alarm_ms")


def places(facts: Any, at: Place = ()) -> Iterator[Place]:
    """Yield where numbers stand in some facts; of a list the first part speaks for all."""
    if isinstance(facts, dict):
        for name in facts:
            yield from places(facts[name], (*at, name))
    elif isinstance(facts, list) and facts:
        yield from places(facts[0], (*at, 0))
    elif isinstance(facts, (int, float)) and not isinstance(facts, bool):
        yield at


def put(facts: dict[str, Any], at: Place, value: Any) -> dict[str, Any]:
    """Return the facts with one value changed."""
    changed = copy.deepcopy(facts)
    part: Any = changed
    for step in at[:-1]:
        part = part[step]
    part[at[-1]] = value
    return changed


def numbers_in(value: Any) -> list[float]:
    """Return every number in an answer."""
    if isinstance(value, (int, float)):
        return [float(value)]
    parts = value.values() if isinstance(value, dict) else value if isinstance(value, list) else []
    return [number for part in parts for number in numbers_in(part)]


CASES = [(question, at) for question in sorted(FACTS) for at in places(FACTS[question])]


def test_all_questions_that_take_numbers_are_asked() -> None:
    without = {question for question in FACTS if question not in dict(CASES)}
    assert without == {"batch_offer", "findings", "media", "models", "sources", "steels"}


@pytest.mark.parametrize(("question", "at"), CASES, ids=str)
def test_what_is_no_number_in_range_is_refused_by_name(question: str, at: Place) -> None:
    names = [step for step in at if isinstance(step, str)]
    meant = "bow_mm" if at[-1] == 0 else names[-1]  # a bare list of bows
    for value in NOT_A_NUMBER + NOT_OF_THIS_WORLD:
        answer = ask(question, put(FACTS[question], at, value))
        if meant in INSTANTS and value == 1e12:
            assert all(math.isfinite(number) for number in numbers_in(answer["answer"]))
            continue
        error = answer["error"]
        assert error["field"].split(".")[-1] == meant, value
        assert error["reason"].startswith("refusal."), value
        if question not in OF_CARDS:
            assert error["low"] is not None, value
            assert error["high"] is not None, value


@pytest.mark.parametrize("question", sorted(FACTS))
def test_ordinary_facts_give_finite_numbers(question: str) -> None:
    numbers = numbers_in(ask(question, FACTS[question])["answer"])
    assert numbers or question in ("batch_offer", "findings")
    assert all(math.isfinite(number) for number in numbers)
