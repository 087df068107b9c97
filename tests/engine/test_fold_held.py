"""A held log answers each fold as a log that is read from its first entry, whatever came in between."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from log_maker import PIECE, Log, plain_card
from made_logs import WAITS, bodies, end_of, logs

from temperward.engine.errors import EngineError
from temperward.engine.process import reading
from temperward.engine.process.fold import HeldLog, fold
from temperward.engine.process.story import Story

KEPT = sorted((Path(__file__).parent.parent / "golden_logs").glob("*/*.json"))
OVEN_READING = {"check": "oven_temperature", "temperature_c": 203}


def related(at_ms: int | None) -> dict[str, Any]:
    """Return what the shop's oven was last read at, if it was."""
    if at_ms is None:
        return {}
    return {"oven": [{"log_id": "oven", "name": "Kiln", "last": [{**OVEN_READING, "happened_ms": at_ms}]}]}


def same(held: HeldLog, entries: list[dict[str, Any]], *, now_ms: int, things: dict[str, Any]) -> None:
    """Fold the held log and the whole one; they must be one text."""
    facts = {"log_kind": "piece", "log_id": PIECE, "now_ms": now_ms, "related": things}
    whole = fold({**facts, "entries": list(entries)})
    assert json.dumps(held.fold(facts)) == json.dumps(whole)


@settings(max_examples=60, deadline=None)
@given(logs(), st.lists(bodies(), max_size=3), WAITS, st.randoms(use_true_random=False))
def test_a_held_log_is_read_on_as_if_from_its_first_entry(
    entries: list[dict[str, Any]], more: list[tuple[str, dict[str, Any]]], wait_s: int, chance: Any
) -> None:
    log = Log()
    log.entries = list(entries)
    log.lamport = max(entry["lamport"] for entry in entries)
    log.now_ms = end_of(entries)
    for kind, body in more:
        log.wait(chance.choice([0, 5, 4000])).add(kind, body, ago_s=chance.choice([0, 0, 90]))
    arrived = list(log.entries)
    if chance.random() < 0.3:
        chance.shuffle(arrived)
    held = HeldLog([])
    for count in range(len(arrived)):
        held.append(arrived[count])
        for now_ms in (arrived[count]["written_ms"], log.now_ms + chance.choice([0, wait_s * 1000])):
            things = related(chance.choice([None, arrived[0]["happened_ms"], log.now_ms]))
            same(held, arrived[: count + 1], now_ms=now_ms, things=things)


@pytest.mark.parametrize("path", KEPT, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_a_kept_log_is_read_on_to_the_same_state(path: Path) -> None:
    facts = json.loads(path.read_text("utf-8"))["facts"]
    rest = {name: facts[name] for name in ("log_kind", "log_id")}
    held = HeldLog([])
    for count, entry in enumerate(facts["entries"], start=1):
        held.append(entry)
        for wait_ms in (1000, 4_000_000):
            asked = {**rest, "now_ms": entry["written_ms"] + wait_ms}
            assert held.fold(asked) == fold({**asked, "entries": facts["entries"][:count]})


def test_entries_that_only_come_last_are_each_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    log = Log(card=plain_card()).ground()
    told: list[str] = []
    read = reading.READERS["mark"]

    def watched(story: Story, entry: dict[str, Any]) -> None:
        told.append(entry["id"])
        read(story, entry)

    monkeypatch.setitem(reading.READERS, "mark", watched)
    held = HeldLog(list(log.entries))
    facts = {"log_kind": "piece", "log_id": log.log_id}
    held.fold({**facts, "now_ms": log.now_ms})
    for mark in ("in_fire", "even_heat", "out_of_fire", "cold"):
        log.mark(mark, after_s=300)
        held.append(log.entries[-1])
        held.fold({**facts, "now_ms": log.now_ms + 1000})
    assert told == [entry["id"] for entry in log.entries if entry["kind"] == "mark"]


def test_a_broken_entry_is_told_once_however_often_the_log_is_folded() -> None:
    log = Log(card=plain_card())
    whole = fold(log.facts())
    held = HeldLog([*log.entries, {**log.entries[0], "id": "x", "lamport": -1}])
    facts = {"log_kind": "piece", "log_id": log.log_id, "now_ms": log.now_ms}
    for _ in range(2):
        assert held.fold(facts) == {**whole, "unread": ["x"]}


@pytest.mark.parametrize("nameless", [None, 5, [], {}, {"id": ""}, {"id": 7}], ids=str)
def test_what_has_no_id_refuses_every_fold_by_its_place(nameless: Any) -> None:
    log = Log(card=plain_card())
    held = HeldLog([*log.entries, nameless])
    facts = {"log_kind": "piece", "log_id": log.log_id, "now_ms": log.now_ms}
    for _ in range(2):
        with pytest.raises(EngineError) as refused:
            held.fold(facts)
        assert refused.value.as_json()["field"].startswith(f"entries[{len(log.entries)}]")


@pytest.mark.parametrize(
    "body",
    [
        {"bow_mm": 0.2, "length_mm": 400, "uncertainty_mm": None},
        {"bow_mm": 0.2, "length_mm": 400, "stations": [{"at_mm": 0}]},
        {"bow_mm": 0.2, "length_mm": 400, "uncertainty_mm": "small"},
    ],
)
def test_a_bow_with_odd_company_breaks_nothing(body: dict[str, Any]) -> None:
    log = Log(card=plain_card()).ground()
    for _ in range(3):
        log.cycle(0.1)
        log.check("bow", body, after_s=10)
    assert log.fold()["state"]["id"] == "cycle_checked"
