"""A log folds to the same state on the phone as here, whole or kept open there, whatever is in it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from common.card_cases import VARIANTS, card
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from log_maker import PIECE, Log
from made_logs import WAITS, end_of, logs
from phone_engine import PhoneEngine, difference, here, text_of

SameAnswer = Callable[[str, Any], Any]
MADE = settings(
    max_examples=120,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
KEPT = sorted((Path(__file__).parent.parent / "golden_logs").glob("*/*.json"))
BOXES = ["cycle-1.in", "cycle-1.out", "quench.in", "temper-1.in", "temper-1.out", "temper-2.in"]
CARD = card(VARIANTS["plain"])
THINGS = ["bar", "bath", "oven", "instrument", "coupon", "member", "shop", "customer"]


def sendable(entries: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the entries as they come over a wire: JSON has no infinity."""
    return json.loads(json.dumps(entries), parse_constant=lambda _: None)


LOGS = logs().map(sendable)


def facts_of(entries: list[dict[str, Any]], *, now_ms: int, **rest: Any) -> dict[str, Any]:
    return {"log_kind": "piece", "log_id": PIECE, "entries": entries, "now_ms": now_ms, **rest}


@MADE
@given(entries=LOGS, wait_s=WAITS)
def test_a_made_up_log_folds_alike(
    entries: list[dict[str, Any]], wait_s: int, same_answer: SameAnswer
) -> None:
    same_answer("fold", facts_of(entries, now_ms=end_of(entries) + wait_s * 1000))


@settings(MADE, max_examples=40)
@given(entries=LOGS, wait_s=WAITS)
def test_a_made_up_log_is_drawn_alike(
    entries: list[dict[str, Any]], wait_s: int, same_answer: SameAnswer
) -> None:
    same_answer("log_pictures", facts_of(entries, now_ms=end_of(entries) + wait_s * 1000))


@settings(MADE, max_examples=20)
@given(entries=LOGS, wait_s=WAITS)
def test_a_made_up_log_is_offered_the_same_card_on_both(
    entries: list[dict[str, Any]], wait_s: int, same_answer: SameAnswer
) -> None:
    now_ms = end_of(entries) + wait_s * 1000
    same_answer("card_offer", facts_of(entries, now_ms=now_ms, engine_version="9.0.0+later"))


@pytest.mark.parametrize("name", sorted(VARIANTS))
def test_what_moved_in_an_older_card_is_told_alike(name: str, same_answer: SameAnswer) -> None:
    card = here("make_card", VARIANTS[name])["answer"]
    other = here("make_card", VARIANTS["one temper" if name != "one temper" else "clay"])["answer"]
    for kept in ({**card, "steps": other["steps"]}, {**other, "facts": card["facts"]}):
        log = Log(card=kept)
        for version in ("0.2.0+a", "0.0.9+b", "0.1.0"):
            same_answer("card_offer", {**log.facts(), "engine_version": version})
        told = same_answer("card_offer", {**log.ground().cycle(0.1).facts(), "engine_version": "0.2.0+a"})
        log.add("choice", {"choice": "card_left", **told["answer"]["actions"][1]["body"]})
        assert same_answer("card_offer", {**log.facts(), "engine_version": "0.3.0"})["answer"]["is"] == "left"


@settings(MADE, max_examples=20)
@given(entries=LOGS, times=st.dictionaries(st.sampled_from(BOXES), st.integers(0, 2**41)))
def test_times_from_the_paper_are_taken_alike(
    entries: list[dict[str, Any]], times: dict[str, int], same_answer: SameAnswer
) -> None:
    with_card = [{**one, "body": {"card": CARD}} if one["kind"] == "card_made" else one for one in entries]
    same_answer("paper_times", facts_of(with_card, now_ms=end_of(entries), times=times))


@settings(MADE, max_examples=30)
@given(entries=LOGS, wait_s=WAITS, chance=st.randoms(use_true_random=False))
def test_entries_in_any_order_of_arrival_fold_alike(
    entries: list[dict[str, Any]], wait_s: int, chance: Any, same_answer: SameAnswer
) -> None:
    shuffled = [*entries, *entries[:3]]
    chance.shuffle(shuffled)
    same_answer("fold", facts_of(shuffled, now_ms=end_of(entries) + wait_s * 1000))


@settings(MADE, max_examples=30)
@given(entries=LOGS)
def test_a_log_kept_open_answers_every_entry_as_the_whole_log_does(
    entries: list[dict[str, Any]], phone: PhoneEngine
) -> None:
    phone.call("openLog", PIECE, text_of(entries[:2]))
    for count in range(3, len(entries) + 1):
        assert phone.call("appendEntry", PIECE, text_of(entries[count - 1])) == count
        now_ms = entries[count - 1]["written_ms"] + 1000
        kept = json.loads(phone.call("foldOpen", PIECE, json.dumps({"log_kind": "piece", "now_ms": now_ms})))
        assert difference(here("fold", facts_of(entries[:count], now_ms=now_ms)), kept) is None


def test_an_entry_for_a_log_that_is_not_open_is_not_taken(phone: PhoneEngine) -> None:
    phone.call("openLog", PIECE, "[]")
    assert phone.call("appendEntry", "another", json.dumps({"id": "1"})) == -1


def test_a_log_that_is_not_open_is_an_error_and_no_empty_blade(phone: PhoneEngine) -> None:
    phone.call("openLog", PIECE, "[]")
    with pytest.raises(AssertionError, match="another"):
        phone.call("foldOpen", "another", json.dumps({"log_kind": "piece", "now_ms": 1}))


@pytest.mark.parametrize("name", sorted(VARIANTS))
def test_a_blade_with_a_real_card_folds_alike_all_the_way(name: str, same_answer: SameAnswer) -> None:
    card = here("make_card", VARIANTS[name])["answer"]
    log = Log(card=card)
    log.ground()
    for bow_mm in (0.15, 0.30, 0.55):
        log.cycle(bow_mm)
        same_answer("fold", log.facts(now_ms=log.now_ms + 1000))
    log.mark("straightened", after_s=600)
    log.bow(0.1)
    log.get_ready().harden()
    for after_s in (0, 4, 30, 120, 1000, 2000, 4000):
        same_answer("fold", log.facts(now_ms=log.now_ms + after_s * 1000))
    log.mark("out_of_bath", after_s=12)
    same_answer("fold", log.facts(now_ms=log.now_ms + 40_000))
    log.temper().temper()
    same_answer("fold", log.facts(now_ms=log.now_ms + 5000))


BROKEN = [
    {"device_id": ""},
    {"log_kind": "bar"},
    {"log_id": "x"},
    {"lamport": -1},
    {"body": []},
    {"id": None},
]


@pytest.mark.parametrize("change", BROKEN, ids=str)
def test_a_broken_line_is_kept_aside_alike(change: dict[str, Any], same_answer: SameAnswer) -> None:
    log = Log().to_hard()
    log.entries.insert(2, {**log.entries[1], "id": "stray", **change})
    same_answer("fold", log.facts(now_ms=log.now_ms + 1000))


@pytest.mark.parametrize("path", KEPT, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_a_kept_log_folds_alike_after_each_of_its_entries(path: Path, same_answer: SameAnswer) -> None:
    facts = json.loads(path.read_text("utf-8"))["facts"]
    for count in range(1, len(facts["entries"]) + 1):
        entries = facts["entries"][:count]
        same_answer("fold", {**facts, "entries": entries, "now_ms": entries[-1]["written_ms"]})
    same_answer("log_pictures", facts)


@pytest.mark.parametrize("log_kind", THINGS)
def test_a_log_of_any_other_kind_folds_alike(log_kind: str, same_answer: SameAnswer) -> None:
    log = Log()
    log.add("made", {"name": "Tall oil", "litres": 20, "zone": "Europe/London", "initials": "MO"})
    log.add("changed", {"flash_c": 190, "name": "Tall"}, ago_s=60)
    log.check("bath_temperature", {"temperature_c": 54})
    log.add("note", {"text": "new oil"})
    log.add("withdraw", {"entry_id": log.entries[1]["id"]})
    entries = [{**entry, "log_kind": log_kind} for entry in log.entries]
    same_answer("fold", {**log.facts(), "log_kind": log_kind, "entries": entries})
