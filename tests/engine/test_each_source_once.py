"""No answer names one source twice: a person would look for the difference."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from common.card_cases import VARIANTS

from temperward.engine import api

STEELS = [row["designation"] for row in api.ask("steels", {})["answer"]["steels"]]


def sources_in(answer: Any) -> Iterator[list[str]]:
    """Return every list of sources, wherever it stands."""
    if isinstance(answer, dict):
        found = answer.get("sources")
        if isinstance(found, list):
            yield found
        for part in answer.values():
            yield from sources_in(part)
    elif isinstance(answer, list):
        for part in answer:
            yield from sources_in(part)


def check(answer: dict[str, Any]) -> None:
    found = list(sources_in(answer))
    assert found, "an answer without a source"
    assert [one for one in found if len(set(one)) < len(one)] == []


@pytest.mark.parametrize("steel", STEELS)
@pytest.mark.parametrize("question", ["transformation_temperatures", "as_quenched_hardness"])
def test_what_is_said_of_a_steel_names_each_source_once(question: str, steel: str) -> None:
    check(api.ask(question, {"steel": steel}))


@pytest.mark.parametrize("name", sorted(VARIANTS))
def test_a_card_names_each_source_once(name: str) -> None:
    said = api.ask("make_card", VARIANTS[name])
    if "error" in said:
        pytest.skip("this plan is refused by name")
    check(said)


def test_a_bar_with_its_own_analysis_names_it() -> None:
    facts = {"composition": {"c": 0.84, "mn": 0.75}, "austenitise_c": 810}
    answer = api.ask("transformation_temperatures", facts)["answer"]
    assert all("millAnalysis" in answer[name]["sources"] for name in ("ac1", "ms"))
