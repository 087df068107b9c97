"""What must hold of every log: order of arrival, undo, time, and never an exception."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from log_maker import PIECE, Log, plain_card
from made_logs import GARBAGE, WAITS, bodies, end_of, logs

from temperward.engine import api


def fold(entries: list[dict[str, Any]], now_ms: int) -> dict[str, Any]:
    answer = api.ask("fold", {"log_kind": "piece", "log_id": PIECE, "entries": entries, "now_ms": now_ms})
    assert "error" not in answer, answer
    json.dumps(answer, allow_nan=False)
    return dict(answer["answer"])


@settings(max_examples=60, deadline=None)
@given(logs(), WAITS, st.randoms(use_true_random=False))
def test_the_order_in_which_entries_arrive_makes_no_difference(
    entries: list[dict[str, Any]], wait_s: int, chance: Any
) -> None:
    now_ms = end_of(entries) + wait_s * 1000
    shuffled = [*entries, *entries[:3]]
    chance.shuffle(shuffled)
    assert fold(shuffled, now_ms) == fold(entries, now_ms)


CHANGED_BY_UNDO = ["count", "last_id", "withdrawn", "shop_order", "undo", "changes_at_ms"]


@settings(max_examples=60, deadline=None)
@given(logs(), bodies(), WAITS)
def test_taking_the_last_entry_back_returns_to_what_was_before(
    entries: list[dict[str, Any]], last: tuple[str, dict[str, Any]], wait_s: int
) -> None:
    log = Log()
    log.entries = list(entries)
    log.lamport = max(entry["lamport"] for entry in entries)
    log.now_ms = end_of(entries)
    before = fold(entries, log.now_ms + wait_s * 1000)
    entry_id = log.add(last[0], last[1])
    log.add("withdraw", {"entry_id": entry_id})
    after = fold(log.entries, log.now_ms + wait_s * 1000)
    for name in CHANGED_BY_UNDO:
        before.pop(name)
        after.pop(name)
    assert after == before


@settings(max_examples=60, deadline=None)
@given(logs(), WAITS, st.floats(0, 1, exclude_max=True))
def test_between_two_announced_instants_nothing_changes(
    entries: list[dict[str, Any]], wait_s: int, share: float
) -> None:
    now_ms = end_of(entries) + wait_s * 1000
    first = fold(entries, now_ms)
    until_ms = first["changes_at_ms"][0] if first["changes_at_ms"] else now_ms + 10**9
    between_ms = now_ms + int((until_ms - 1 - now_ms) * share)
    assert fold(entries, between_ms) == first


@settings(max_examples=60, deadline=None)
@given(logs(), WAITS)
def test_every_answer_is_complete(entries: list[dict[str, Any]], wait_s: int) -> None:
    answer = fold(entries, end_of(entries) + wait_s * 1000)
    assert sorted(answer["shop_order"]) == sorted(entry["id"] for entry in entries)
    assert answer["shape"] in ("octagon", "triangle", "circle", "square")
    assert answer["screen"] in ("step", "quench", "straighten", "brittle", "temper", "gate", "sitting")
    assert len(answer["offers"]) <= 3
    if answer["people"] is None and answer["state"]["id"] in ("hard", "snap_tempered"):
        actions = [answer["next"], *answer["offers"], *answer["more"]]
        assert "in_oven" in [action.get("mark") for action in actions], "nothing may stand before the temper"
    assert answer["changes_at_ms"] == sorted(set(answer["changes_at_ms"]))


ENVELOPE = ["id", "log_kind", "log_id", "kind", "version", "body", "lamport", "happened_ms", "written_ms"]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([*ENVELOPE, "plus_minus_s", "at_source", "device_id"]), GARBAGE)
def test_a_broken_envelope_is_kept_aside_and_takes_nothing_with_it(field: str, value: Any) -> None:
    log = Log(card=plain_card())
    kind = type(log.entries[1][field])
    if isinstance(value, kind) and not isinstance(value, bool) and value not in ("", {}):
        return
    if field in ("body", "plus_minus_s") and isinstance(value, (dict, float, int)):
        return
    whole = log.fold()
    log.entries.append({**log.entries[1], "id": "broken", field: value})
    answer = api.ask("fold", log.facts())
    if field == "id":
        assert answer["error"]["field"] == f"entries[{len(log.entries) - 1}].id"
    else:
        assert answer["answer"] == {**whole, "unread": ["broken"]}


@settings(max_examples=40, deadline=None)
@given(logs(), logs(), WAITS, st.randoms(use_true_random=False))
def test_two_phones_that_wrote_apart_meet_in_one_history(
    one: list[dict[str, Any]], other: list[dict[str, Any]], wait_s: int, chance: Any
) -> None:
    """Both go on from the same first entries with the same lamport counts, apart from one another."""
    theirs = [
        {**entry, "id": f"{entry['id'][:-12]}{900_000 + at}", "device_id": "phone-b"}
        for at, entry in enumerate(other[2:])
    ]
    now_ms = max(end_of(one), end_of(other)) + wait_s * 1000
    together = [*one, *theirs]
    shuffled = list(together)
    chance.shuffle(shuffled)
    assert fold(shuffled, now_ms) == fold(together, now_ms)
