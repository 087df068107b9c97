"""The phone's engine in a real browser, in its workers, under the content policy of the app."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from log_maker import Log, plain_card
from phone_engine import difference, here
from playwright.sync_api import Page

sys.path.insert(0, str(Path(__file__).parent.parent / "bench"))

import engine_page

from temperward.lowering import engine_version

pytestmark = pytest.mark.journey
TOO_DEEP = 5000  # brackets: more than the phone's Python goes down, so it breaks without being asked wrongly


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    engine_page.build()
    with engine_page.bench_page() as opened:
        said: list[str] = []
        opened.on("pageerror", lambda error: said.append(str(error)))
        opened.on("console", lambda line: said.append(line.text) if line.type == "error" else None)
        yield opened
        assert said == []


def tried(page: Page, call: str, *facts: Any) -> Any:
    """Call the typed client; return its answer, or the name and content of what it threw."""
    script = f"""(facts) => bench.client.{call}(...facts).then(
        (answer) => ({{ answer }}), (error) => ({{ name: error.name, refusal: error.refusal }}))"""
    return page.evaluate(script, list(facts))


def test_the_engine_names_itself_as_the_server_does(page: Page) -> None:
    assert page.evaluate("bench.client.ENGINE_VERSION") == engine_version()


def test_a_question_is_answered_in_a_worker_as_here(page: Page) -> None:
    facts = {"steel": "1075", "thickness_mm": 4.2, "from_c": 260}
    answer = tried(page, "ask", "straightening_window", facts)["answer"]
    assert difference(here("straightening_window", facts)["answer"], answer) is None


def test_a_refusal_comes_with_field_and_reason(page: Page) -> None:
    thrown = tried(page, "ask", "steels", {"colour": 1})
    assert thrown["name"] == "EngineRefusal"
    assert (thrown["refusal"]["field"], thrown["refusal"]["reason"]) == ("colour", "refusal.unknown_field")


def test_an_open_log_folds_entry_by_entry_as_the_whole_log_does(page: Page) -> None:
    log = Log(card=plain_card())
    log.ground().cycle(0.15)
    whole = here("fold", log.facts())["answer"]
    request = {**log.facts(), "entries": log.entries[:-1]}
    assert tried(page, "foldOpen", request)["answer"]["count"] == len(log.entries) - 1
    more = {"log_id": log.log_id, "entry": log.entries[-1], "now_ms": log.now_ms}
    assert difference(whole, tried(page, "foldAppend", more)["answer"]) is None
    assert difference(whole, tried(page, "fold", log.facts())["answer"]) is None


def test_a_fact_nested_too_deep_is_refused_and_the_open_log_goes_on(page: Page) -> None:
    log = Log(card=plain_card())
    log.ground()
    tried(page, "foldOpen", log.facts())
    deep = page.evaluate(
        "(depth) => bench.client.ask('twist', {gap_mm: JSON.parse('['.repeat(depth) + ']'.repeat(depth))})"
        ".then(() => 'answered', (error) => error.name)",
        TOO_DEEP,
    )
    assert deep == "EngineRefusal"
    again = tried(page, "foldAgain", {"log_id": log.log_id, "now_ms": log.now_ms})
    assert difference(here("fold", log.facts())["answer"], again["answer"]) is None


def test_a_card_in_the_making_does_not_stand_before_a_fold(page: Page) -> None:
    log = Log(card=plain_card())
    log.ground()
    order = page.evaluate(
        """async ([plan, facts]) => {
            const done = [];
            await Promise.all([
              bench.client.ask("make_card", plan).then(() => done.push("card")),
              bench.client.fold(facts).then(() => done.push("fold")),
            ]);
            const cards = Array.from({ length: 12 }, () =>
              bench.client.ask("make_card", plan).then(() => done.push("card")));
            await Promise.all([...cards, bench.client.fold(facts).then(() => done.push("fold"))]);
            return done.at(-1);
        }""",
        [
            {
                "steel": "1075",
                "thickness_mm": 4.2,
                "length_mm": 440,
                "heat_source": "kiln",
                "quench": [{"medium": "fast_oil"}],
            },
            log.facts(),
        ],
    )
    assert order == "card"  # in one worker the fold, asked last, would be answered last
