"""Every key that the fold can say has words, short enough for where they stand."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given, settings
from log_maker import Log, plain_card
from test_fold_properties import WAITS, end_of, fold, logs

from temperward.engine import api, data_files
from temperward.engine.process import big_number, phases
from temperward.engine.process.said_facts import FACTS

PHASES = data_files.load("phases")
WORDS = data_files.load("words/en/fold")
FINDINGS = data_files.load("words/en/findings")
STATES = data_files.load("states")


def keys_in(value: Any) -> list[tuple[str, dict[str, Any]]]:
    if isinstance(value, list):
        return [found for one in value for found in keys_in(one)]
    if not isinstance(value, dict):
        return []
    own = [(value["key"], value["facts"])] if "key" in value and "facts" in value else []
    return own + [found for one in value.values() for found in keys_in(one)]


def placeholders(text: str | dict[str, str]) -> set[str]:
    texts = [text] if isinstance(text, str) else list(text.values())
    return {name for one in texts for name in re.findall(r"\{(\w+)\}", one)}


@settings(max_examples=60, deadline=None)
@given(logs(), WAITS)
def test_whatever_a_log_says_there_are_words_and_facts_for_it(
    entries: list[dict[str, Any]], wait_s: int
) -> None:
    answer = fold(entries, end_of(entries) + wait_s * 1000)
    for key, facts in keys_in(answer):
        if key.startswith("fold."):
            assert key in WORDS, key
            assert placeholders(WORDS[key]) <= set(facts), key


@pytest.mark.parametrize("phase_id", PHASES["order"])
def test_a_phase_is_short_enough_for_two_metres(phase_id: str) -> None:
    phase = PHASES["by_id"][phase_id]
    word = WORDS["fold.word." + phase["word"]]
    assert len(word.replace("{number}", "1")) <= 12
    sentence = WORDS["fold.say." + phase_id]
    assert len(sentence.split()) <= 8
    assert placeholders(sentence) <= set(phase.get("facts", []))
    assert all(name in FACTS for name in phase.get("facts", []))
    assert phase["number"] in big_number.NUMBERS


def test_every_state_has_a_phase_or_moments_of_its_own() -> None:
    for state in STATES["order"]:
        assert state in phases.PHASES or state in PHASES["by_id"], state


def test_no_word_lies_about_unused() -> None:
    used = {"fold.say." + name for name in PHASES["order"]}
    assert {key for key in WORDS if key.startswith("fold.say.")} == used


def test_the_findings_are_thirty_two_and_begin_with_what_to_do() -> None:
    cards = api.ask("findings", {})["answer"]
    assert len(cards) == len({card["id"] for card in cards}) == 32
    for card in cards:
        assert len(FINDINGS[card["do_now"]["key"]].split()) <= 8
        for name in ("title", "do_not", "then"):
            assert FINDINGS[card[name]["key"]]
        assert set(card["where"]) <= set(STATES["order"])
    assert [card["id"] for card in cards if card["people"]] == ["tank_fire", "co_alarm", "someone_hurt"]


def test_a_value_out_of_range_names_field_value_range_and_unit() -> None:
    error = api.ask("check_values", {"check": "oven_temperature", "body": {"temperature_c": 2050}})["error"]
    assert (error["field"], error["value"], error["low"], error["high"], error["unit"]) == (
        "temperature_c",
        2050,
        -40,
        800,
        "degC",
    )


@pytest.mark.parametrize(
    ("check", "body", "field"),
    [
        ("magnet", {}, "answer"),
        ("magnet", {"answer": "maybe"}, "answer"),
        ("colour", {"even": "yes"}, "even"),
        ("edge_thickness", {"readings_mm": [1.0, 99]}, "readings_mm"),
        (
            "straightness",
            {"length_mm": 420, "pad_mm": 1, "stations": [{"at_mm": 0, "gap_mm": 1}]},
            "stations",
        ),
        (
            "straightness",
            {"length_mm": 420, "pad_mm": 1, "stations": [{"at_mm": 5, "gap_mm": 1}] * 3},
            "stations.at_mm",
        ),
        (
            "straightness",
            {"length_mm": 420, "pad_mm": 1, "stations": [{"at_mm": k, "gap_mm": "1,5"} for k in range(3)]},
            "stations[0].gap_mm",
        ),
    ],
)
def test_a_reading_that_cannot_be_is_refused_by_name(check: str, body: dict[str, Any], field: str) -> None:
    assert api.ask("check_values", {"check": check, "body": body})["error"]["field"] == field


def test_a_reading_that_passes_the_form_is_read_by_the_fold() -> None:
    log = Log(card=plain_card())
    body = {"readings_mm": [1.0, 0.9, 0.95]}
    assert api.ask("check_values", {"check": "edge_thickness", "body": body})["answer"]["body"] == body
    log.check("edge_thickness", body)
    assert log.fold()["unread"] == []
