"""However entries are cut into batches, repeated, reordered, pushed at once: the shop holds the same set."""

from __future__ import annotations

import threading
from collections import Counter
from typing import Any

import pytest
from common.logs import entry
from common.phones import Phone, Shop, join_as, open_shop
from flask import Flask
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

pytestmark = pytest.mark.usefixtures("both_databases")

ENTRIES = 12
# A push is some of the entries in some order, one or another perhaps twice, by one of three phones; pushes
# overlap as they like.
batches = st.lists(
    st.tuples(
        st.sampled_from(["owner", "smith", "other smith"]),
        st.lists(st.integers(0, ENTRIES - 1), min_size=1, max_size=8),
    ),
    min_size=1,
    max_size=8,
)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(pushes=batches, want=st.integers(1, 5))
def test_any_batches_in_any_order_end_in_the_same_set(
    app: Flask, pushes: list[tuple[str, list[int]]], want: int
) -> None:
    shop = open_shop(app, name="One More Forge")
    phones = {"owner": shop.owner, "smith": shop.smith, "other smith": join_as(app, shop.owner, "smith")}
    entries = [entry() for _ in range(ENTRIES)]
    said: dict[str, list[str]] = {one["id"]: [] for one in entries}
    seqs: dict[str, set[int]] = {one["id"]: set() for one in entries}
    pulled: list[dict[str, Any]] = []
    since = 0
    for who, places in pushes:
        offered = [entries[place] for place in places]
        answer = phones[who].sync(*offered)
        assert [one["id"] for one in answer["results"]] == [one["id"] for one in offered]
        for result in answer["results"]:
            said[result["id"]].append(result["status"])
            seqs[result["id"]].add(result["seq"])
        page = shop.viewer.sync(since=since, want=want)  # a phone that pulls in between
        pulled += page["rows"]
        since = page["next_since"]
    pulled += rest_of(shop.viewer, since=since, want=want)
    offered_ids = {entries[place]["id"] for _who, places in pushes for place in places}
    assert all(words == ["stored", *["had"] * (len(words) - 1)] for words in said.values() if words)
    assert all(len(numbers) <= 1 for numbers in seqs.values())
    # The puller in between and a fresh phone see each entry once, in one order, as it was written.
    assert [row["id"] for row in pulled] == [row["id"] for row in shop.owner.pull_all(want=want)]
    assert {row["id"] for row in pulled} == offered_ids
    assert len(pulled) == len(offered_ids)
    bodies = {row["id"]: {name: row[name] for name in entries[0]} for row in pulled}
    assert bodies == {one["id"]: one for one in entries if one["id"] in offered_ids}


def rest_of(phone: Phone, *, since: int, want: int) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    more = True
    while more:
        page = phone.sync(since=since, want=want)
        rows += page["rows"]
        since, more = page["next_since"], page["more"]
    return rows


def test_overlapping_batches_pushed_at_once_are_stored_once_each(app: Flask, shop: Shop) -> None:
    """Each phone pushes a run that overlaps with its neighbours', forwards or backwards, again and again."""
    phones = [shop.owner, shop.smith, *(join_as(app, shop.owner, "smith") for _ in range(4))]
    entries = [entry() for _ in range(60)]
    results: list[dict[str, Any]] = []
    gate = threading.Barrier(len(phones))

    def push(number: int, phone: Phone) -> None:
        mine = [entries[(number * 10 + place) % 60] for place in range(30)]
        if number % 2:
            mine.reverse()
        gate.wait()
        for start in range(0, 30, 5):
            results.extend(phone.sync(*mine[start : start + 10])["results"])

    threads = [threading.Thread(target=push, args=(number, phone)) for number, phone in enumerate(phones)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    stored = Counter(one["id"] for one in results if one["status"] == "stored")
    assert stored == Counter(one["id"] for one in entries)
    assert {one["status"] for one in results} == {"stored", "had"}
    rows = shop.viewer.pull_all(want=7)
    assert Counter(row["id"] for row in rows) == stored
    assert [row["seq"] for row in rows] == sorted(row["seq"] for row in rows)
    by_id = {row["id"]: row["seq"] for row in rows}
    assert all(one["seq"] == by_id[one["id"]] for one in results)
    assert len(set(by_id.values())) == len(entries)
