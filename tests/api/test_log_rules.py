"""No entry that the server takes makes a log unreadable or leaves its next mark without a number."""

from __future__ import annotations

import random
from typing import Any

import pytest
from common.logs import NOW_MS, entry, new_id
from common.phones import Shop
from hypothesis import given, settings
from hypothesis import strategies as st

from temperward.engine import api as engine
from temperward.engine.process.entries import unseen
from temperward.services.envelope import ENVELOPE, LAMPORT_ROOM, LOG_KINDS, SAFE_INTEGER, judge

PLAIN = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=70) | st.just(SAFE_INTEGER)
VALUES = PLAIN | st.lists(PLAIN, max_size=2) | st.dictionaries(st.text(max_size=3), PLAIN, max_size=2)


def results(answer: dict[str, Any]) -> list[Any]:
    return [one.get("field", one["status"]) for one in answer["results"]]


def strangers(entries: list[dict[str, Any]]) -> list[str]:
    """Return the ids of what the engine cannot take as entries of their own log."""
    strange: list[str] = []
    for log_id in {one["log_id"] for one in entries}:
        mine = [one for one in entries if one["log_id"] == log_id]
        unseen(mine, {}, log_kind=mine[0]["log_kind"], log_id=log_id, strange=strange)
    return strange


@settings(max_examples=400, deadline=None)
@given(st.dictionaries(st.sampled_from([one.name for one in ENVELOPE]), VALUES, min_size=1, max_size=2))
def test_what_the_server_takes_the_engine_takes(change: dict[str, Any]) -> None:
    judged = judge(entry(**change), role="owner")
    if judged.entry is not None:
        assert strangers([judged.entry]) == []


@pytest.mark.parametrize("name", [one.name for one in ENVELOPE if one.name != "body"])
def test_an_empty_text_is_taken_only_where_the_engine_takes_it(name: str) -> None:
    judged = judge(entry(**{name: ""}), role="owner")
    assert judged.entry is None or strangers([judged.entry]) == []


@pytest.mark.usefixtures("both_databases")
def test_an_entry_without_a_device_is_refused_and_the_blade_keeps_its_clock(shop: Shop) -> None:
    log_id = new_id()
    made = entry(log_id=log_id, kind="piece_made", body={"tag": "QF-1"})
    odd = entry(log_id=log_id, kind="mark", body={"mark": "quenched"}, lamport=2, device_id="")
    assert results(shop.smith.sync(made, odd)) == ["stored", "device_id"]
    facts = {"log_kind": "piece", "log_id": log_id, "entries": shop.owner.pull_all(), "now_ms": NOW_MS}
    assert engine.ask("fold", facts)["answer"]["tag"] == "QF-1"


@pytest.mark.usefixtures("both_databases")
def test_one_log_id_names_one_kind_of_log(shop: Shop, other_shop: Shop) -> None:
    log_id, other_id = new_id(), new_id()
    assert results(shop.smith.sync(entry(log_id=log_id))) == ["stored"]
    stray = [entry(log_id=log_id, log_kind=kind) for kind in LOG_KINDS if kind not in ("piece", "member")]
    assert results(shop.smith.sync(*stray)) == ["log_kind"] * len(stray)
    mixed = [entry(log_id=other_id, log_kind="bath"), entry(log_id=other_id), entry(log_id=log_id)]
    assert results(shop.smith.sync(*mixed)) == ["stored", "log_kind", "stored"]
    assert results(other_shop.smith.sync(entry(log_id=log_id, log_kind="oven"))) == ["stored"]


@pytest.mark.usefixtures("both_databases")
def test_one_entry_cannot_use_up_the_numbers_of_its_log(shop: Shop) -> None:
    log_id = new_id()
    first = entry(log_id=log_id, lamport=1)
    poison = [entry(log_id=log_id, lamport=number) for number in (SAFE_INTEGER, LAMPORT_ROOM + 2)]
    assert results(shop.smith.sync(first, *poison)) == ["stored", "lamport", "lamport"]
    assert results(shop.smith.sync(*poison)) == ["lamport", "lamport"]
    highest = max(row["lamport"] for row in shop.owner.pull_all())
    assert results(shop.smith.sync(entry(log_id=log_id, lamport=highest + 1))) == ["stored"]


@pytest.mark.usefixtures("both_databases")
def test_a_log_may_grow_past_the_room_step_by_step(shop: Shop) -> None:
    """The room is counted from what the log has, in the table and in the same call."""
    log_id = new_id()
    steps = [entry(log_id=log_id, lamport=LAMPORT_ROOM * step) for step in (1, 2, 3)]
    assert results(shop.smith.sync(*steps)) == ["stored"] * 3
    assert results(shop.smith.sync(entry(log_id=log_id, lamport=LAMPORT_ROOM * 4))) == ["stored"]
    assert results(shop.smith.sync(entry(lamport=LAMPORT_ROOM * 4))) == ["lamport"]


@pytest.mark.usefixtures("both_databases")
@pytest.mark.parametrize("seed", range(3))
def test_whatever_is_offered_every_log_stays_readable(shop: Shop, seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311  (by seed, on purpose)
    log_ids = [new_id() for _ in range(4)]
    for _ in range(6):
        batch = [
            entry(
                log_id=chance.choice(log_ids),
                log_kind=chance.choice(LOG_KINDS),
                lamport=chance.choice([1, 2, LAMPORT_ROOM, LAMPORT_ROOM + 5, 2**50, SAFE_INTEGER]),
                device_id=chance.choice(["phone-1", ""]),
            )
            for _ in range(20)
        ]
        shop.owner.sync(*batch)
    rows = shop.owner.pull_all()
    assert strangers(rows) == []
    assert len({(row["log_id"], row["log_kind"]) for row in rows}) == len({row["log_id"] for row in rows})
    assert max(row["lamport"] for row in rows) < SAFE_INTEGER - LAMPORT_ROOM
