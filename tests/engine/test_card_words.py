"""Every card, whatever it is about, has words for each key, a source for each figure, and short cautions."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from common.card_cases import VARIANTS, card, examples

from temperward import wording

DATA = Path(__file__).parents[2] / "backend/temperward/engine/data"
SOURCES = json.loads((DATA / "sources.json").read_text("utf-8"))
LIMITS = json.loads((DATA / "limits.json").read_text("utf-8"))
CAUTIONS = json.loads((DATA / "cautions.json").read_text("utf-8"))
CARD_WORDS = json.loads((DATA / "words/en/card.json").read_text("utf-8"))
WORDS: dict[str, Any] = {}
for path in sorted((DATA / "words/en").glob("*.json")):
    WORDS.update(json.loads(path.read_text("utf-8")))
PLANS = {**VARIANTS, **{one["id"]: one["facts"] for one in examples()}}


def notes_in(value: Any) -> list[dict[str, Any]]:
    """Return every words key with its facts, anywhere inside an answer."""
    found = []
    if isinstance(value, dict):
        if sorted(value) == ["facts", "key"]:
            found.append(value)
        for part in value.values():
            found += notes_in(part)
    elif isinstance(value, list):
        for part in value:
            found += notes_in(part)
    return found


def placeholders(text: str) -> set[str]:
    return set(re.findall(r"\{(\w+)\}", text))


@pytest.fixture(scope="module")
def cards() -> dict[str, dict[str, Any]]:
    return {name: card(facts) for name, facts in PLANS.items()}


@pytest.mark.parametrize("name", sorted(PLANS))
def test_every_key_has_words_and_every_fact_a_place(cards: dict[str, dict[str, Any]], name: str) -> None:
    found = notes_in(cards[name])
    assert len(found) > 100
    missing = sorted({one["key"] for one in found} - set(WORDS))
    assert missing == []
    for one in found:
        text = WORDS[one["key"]]
        texts = list(text.values()) if isinstance(text, dict) else [text]
        for each in texts:
            assert placeholders(each) <= set(one["facts"]), one


@pytest.mark.parametrize("name", sorted(PLANS))
def test_no_figure_says_the_same_twice(cards: dict[str, dict[str, Any]], name: str) -> None:
    points = [(one["id"], p) for one in cards[name]["steps"] for p in one["set_points"]]
    points += [("head", one) for one in cards[name]["numbers"]]
    for step_id, point in points:
        said = [wording.render(one) for one in point["notes"]]
        assert len(set(said)) == len(said), (step_id, point["id"], said)


# What the heads of a card are reckoned by, each a row of the page of the numbers; a magnet was looked at.
MODEL_OF = {
    "dissolved_carbon": "dissolved",
    "ms": "ms",
    "as_quenched": "as_quenched",
    "hold_in_bath": "bath_hold",
    "edge_left": "edge",
    "bath_rise": "bath_rise",
    "bend_until": "window",
}


@pytest.mark.parametrize("name", sorted(PLANS))
def test_every_computed_figure_says_its_model_and_how_far_that_reaches(
    cards: dict[str, dict[str, Any]], name: str
) -> None:
    for figure in cards[name]["numbers"]:
        said = [one["facts"]["model"]["key"] for one in figure["notes"] if one["key"] == "card.note.model"]
        model = MODEL_OF.get(figure["id"])
        assert said == ([] if model is None else [f"app.model.{model}.range"]), figure["id"]
        assert (model is None) == (figure["id"] == "magnet_lets_go")


@pytest.mark.parametrize("name", sorted(PLANS))
def test_every_figure_has_a_source_that_exists(cards: dict[str, dict[str, Any]], name: str) -> None:
    made = cards[name]
    points = [(one["id"], p) for one in made["steps"] for p in one["set_points"]]
    points += [("head", one) for one in made["numbers"]]
    for step_id, point in points:
        assert point["sources"], (step_id, point["id"])
        assert set(point["sources"]) <= set(SOURCES), (step_id, point["id"])


@pytest.mark.parametrize("name", sorted(PLANS))
def test_every_step_says_why_and_is_numbered(cards: dict[str, dict[str, Any]], name: str) -> None:
    steps = cards[name]["steps"]
    assert [one["n"] for one in steps] == list(range(1, len(steps) + 1))
    ids = [one["id"] for one in steps]
    assert len(set(ids)) == len(ids)
    for one in steps:
        assert one["why"]["key"].startswith("card.why.")
        point_ids = [point["id"] for point in one["set_points"]]
        assert len(set(point_ids)) == len(point_ids), one["id"]
        for point in one["set_points"]:
            assert point["kind"] in ["value", "interval", "text"]
            assert (point["kind"] == "interval") is (point["unit"] == "K")


@pytest.mark.parametrize("name", sorted(PLANS))
def test_every_hot_or_hard_step_carries_a_caution(cards: dict[str, dict[str, Any]], name: str) -> None:
    for one in cards[name]["steps"]:
        if one["hazards"]:
            assert one["cautions"], one["id"]
    assert len(cards[name]["cautions"]) == 10


def words_of(text: str) -> int:
    """Count words; a figure with its unit counts as two."""
    return len(re.sub(r"\{\w+\}", "9 units", text).split())


@pytest.mark.parametrize("key", sorted(CARD_WORDS))
def test_words_are_short_enough_for_where_they_stand(key: str) -> None:
    text = CARD_WORDS[key]
    most = {"caution": 14, "card.why": 40, "card.title": 8, "card.label": 8, "verdict": 8}
    for start in sorted(most):
        if key.startswith(start + ".") and key != "caution.standing":
            assert words_of(text) <= most[start], text
    assert words_of(text) <= 40


def test_no_words_are_left_unused() -> None:
    """A key that no source file and no data file names, and that no card emits, is dead."""
    code = "\n".join(path.read_text("utf-8") for path in sorted((DATA.parent / "process").rglob("*.py")))
    emitted = set()
    for facts in PLANS.values():
        emitted |= {one["key"] for one in notes_in(card(facts))}
    named = {"caution." + name for name in CAUTIONS["cautions"]} | {"caution.standing"}
    dead = [
        key
        for key in sorted(CARD_WORDS)
        if key not in emitted and key not in named and key not in code and key.split(".")[-1] not in code
    ]
    assert dead == []


def test_no_limit_is_left_unused() -> None:
    """A figure that no source file names is dead; stages and soaks are named by their parts."""
    code = "\n".join(path.read_text("utf-8") for path in sorted(DATA.parent.rglob("*.py")))
    code += (DATA / "cautions.json").read_text("utf-8")
    parts = ("brittle_", "soak_cycle_")
    dead = [name for name in sorted(LIMITS) if f'"{name}"' not in code and not name.startswith(parts)]
    assert dead == []


def test_every_limit_names_a_source_and_a_unit() -> None:
    for name, row in LIMITS.items():
        assert row["sources"], name
        assert set(row["sources"]) <= set(SOURCES), name
        assert row["unit"], name


def test_every_caution_has_words_and_a_source() -> None:
    assert len(CAUTIONS["always"]) == 10
    assert set(CAUTIONS["always"]) <= set(CAUTIONS["cautions"])
    for name, row in CAUTIONS["cautions"].items():
        assert "caution." + name in CARD_WORDS
        assert set(row["sources"]) <= set(SOURCES)
