"""What must hold of every log: order of arrival, undo, time, and never an exception."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from log_maker import PIECE, START_MS, Log, plain_card

from temperward.engine import api, data_files

MARKS = data_files.load("marks")["order"]
CHECKS = data_files.load("entries")["check_order"]
FINDINGS = data_files.load("findings")["order"]
BODIES: dict[str, list[dict[str, Any]]] = {
    "magnet": [{"answer": "none", "rising": True}, {"answer": "sticks"}],
    "colour": [{"even": True}, {"even": False}, {"even": True, "bright": True}],
    "bow": [{"bow_mm": 0.1, "length_mm": 420}, {"bow_mm": 0.55, "length_mm": 420}, {"bow_mm": 2, "length_mm": 420}],
    "straightness": [
        {
            "length_mm": 420,
            "pad_mm": 1,
            "side": "left",
            "stations": [{"at_mm": 0, "gap_mm": 1}, {"at_mm": 200, "gap_mm": 1.5}, {"at_mm": 420, "gap_mm": 1}],
        }
    ],
    "file": [{"answer": answer, "place": "edge"} for answer in ("bites", "skates")] + [{"answer": "bites"}],
    "oven_temperature": [{"temperature_c": t} for t in (20, 150, 190, 205, 240)],
    "bath_temperature": [{"temperature_c": 54}, {"temperature_c": 180}],
    "bath_ready": [{"covers_blade": True, "lid": True, "extinguisher": True, "path": True}, {"lid": False}],
    "edge_thickness": [{"readings_mm": [1.0, 0.9, 1.1]}],
    "crack": [{"answer": "none", "method": "sight"}, {"answer": "seen"}],
    "sight": [{"answer": "bowed"}, {"answer": "straight"}],
    "hardness": [{"readings_hrc": [59, 60, 59.5]}],
    "blade_temperature": [{"temperature_c": 30}],
}
GARBAGE = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 5) | st.floats(allow_nan=False) | st.text(max_size=4),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)
EXTRA_MARK_BODIES = [{}, {"purpose": "snap"}, {"purpose": "temper"}, {"kind": "stress_relief"}, {"kept": True}]


@st.composite
def bodies(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    kind = draw(st.sampled_from(["mark"] * 6 + ["check"] * 5 + ["finding", "override", "choice", "other", "note"]))
    if kind == "mark":
        return kind, {"mark": draw(st.sampled_from(MARKS)), **draw(st.sampled_from(EXTRA_MARK_BODIES))}
    if kind == "check":
        check = draw(st.sampled_from(CHECKS))
        return kind, {"check": check, **draw(st.sampled_from(BODIES.get(check, [{}])))}
    if kind == "finding":
        return kind, {"finding": draw(st.sampled_from(FINDINGS))}
    if kind == "override":
        items = draw(st.lists(st.sampled_from(["oven", "bow", "lid", "cycles", "tempers"]), min_size=1))
        gate = draw(st.sampled_from(["ready_to_harden", "temper_done", "release"]))
        return kind, {"gate": gate, "items": items, "reason": "rising", "initials": "MO"}
    if kind == "choice":
        choices = ["snap_temper_planned", "jig_planned", "customer_accepts", "customer_asked", "cause_tried"]
        return kind, {"choice": draw(st.sampled_from(choices))}
    if kind == "other":
        known = ["card_made", "photo", "finding_closed", "choose", "same_as", "check", "mark", "later_kind"]
        return draw(st.sampled_from(known)), draw(st.dictionaries(st.text(max_size=6), GARBAGE, max_size=3))
    return kind, {"text": "x"}


@st.composite
def logs(draw: st.DrawFn) -> list[dict[str, Any]]:
    log = Log(card=plain_card(**draw(st.sampled_from([{}, {"air_hardens": True}, {"window": None}, {"cycles": 0}]))))
    if draw(st.booleans()):
        log.to_hard()
    for _ in range(draw(st.integers(0, 14))):
        log.wait(draw(st.sampled_from([0, 1, 20, 60, 400, 1900, 8000])))
        kind, body = draw(bodies())
        if kind in ("choose", "finding_closed") and draw(st.booleans()):
            body = {"entry_id": draw(st.sampled_from(log.entries))["id"]}
        log.add(
            kind,
            body,
            device=draw(st.sampled_from(["phone-a", "phone-b"])),
            ago_s=draw(st.sampled_from([0, 0, 0, 30, 600])),
            version=draw(st.sampled_from([1, 1, 1, 1, 2])),
        )
        if draw(st.integers(0, 9)) == 0:
            log.add("withdraw", {"entry_id": draw(st.sampled_from(log.entries))["id"]})
        if draw(st.integers(0, 9)) == 0:
            target = draw(st.sampled_from(log.entries))
            log.add("correct", {"entry_id": target["id"], "happened_ms": target["happened_ms"] - 5000})
    return log.entries


def fold(entries: list[dict[str, Any]], now_ms: int) -> dict[str, Any]:
    answer = api.ask("fold", {"log_kind": "piece", "log_id": PIECE, "entries": entries, "now_ms": now_ms})
    assert "error" not in answer, answer
    json.dumps(answer, allow_nan=False)
    return dict(answer["answer"])


def end_of(entries: list[dict[str, Any]]) -> int:
    return max([START_MS, *[entry["written_ms"] for entry in entries]])


WAITS = st.sampled_from([0, 1, 61, 700, 2000, 3700, 100_000])


@settings(max_examples=200, deadline=None)
@given(logs(), WAITS, st.randoms(use_true_random=False))
def test_the_order_in_which_entries_arrive_makes_no_difference(
    entries: list[dict[str, Any]], wait_s: int, chance: Any
) -> None:
    now_ms = end_of(entries) + wait_s * 1000
    shuffled = [*entries, *entries[:3]]
    chance.shuffle(shuffled)
    assert fold(shuffled, now_ms) == fold(entries, now_ms)


CHANGED_BY_UNDO = ["count", "last_id", "withdrawn", "shop_order", "undo", "changes_at_ms"]


@settings(max_examples=100, deadline=None)
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


@settings(max_examples=200, deadline=None)
@given(logs(), WAITS, st.floats(0, 1, exclude_max=True))
def test_between_two_announced_instants_nothing_changes(
    entries: list[dict[str, Any]], wait_s: int, share: float
) -> None:
    now_ms = end_of(entries) + wait_s * 1000
    first = fold(entries, now_ms)
    until_ms = first["changes_at_ms"][0] if first["changes_at_ms"] else now_ms + 10**9
    between_ms = now_ms + int((until_ms - 1 - now_ms) * share)
    assert fold(entries, between_ms) == first


@settings(max_examples=100, deadline=None)
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


@settings(max_examples=100, deadline=None)
@given(st.sampled_from([*ENVELOPE, "plus_minus_s", "at_source", "device_id"]), GARBAGE)
def test_a_broken_envelope_is_refused_by_name(field: str, value: Any) -> None:
    log = Log(card=plain_card())
    kind = type(log.entries[1][field])
    if isinstance(value, kind) and not isinstance(value, bool) and value not in ("", {}):
        return
    if field in ("body", "plus_minus_s") and isinstance(value, (dict, float, int)):
        return
    log.entries[1][field] = value
    error = api.ask("fold", log.facts())["error"]
    assert error["field"] == f"entries[1].{field}"
