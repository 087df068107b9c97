"""Entries that no program of ours writes: each is judged by itself and none can stop its neighbours."""

from __future__ import annotations

from typing import Any

import pytest
from common.logs import entry
from common.phones import Shop

from temperward.services.envelope import DEEPEST_BODY

pytestmark = pytest.mark.usefixtures("both_databases")


def statuses(answer: dict[str, Any]) -> list[str]:
    return [one.get("reason", one["status"]) for one in answer["results"]]


ODD_NAMES = ["\ud800", "\x00", "../../temperward.sqlite3", "x" * 60_000, ["a"], {"a": 1}, 5, None, True]


@pytest.mark.parametrize("name", ODD_NAMES, ids=[repr(one)[:20] for one in ODD_NAMES])
def test_a_photo_entry_that_names_no_photo_holds_up_none_of_its_neighbours(shop: Shop, name: Any) -> None:
    before, after = entry(), entry()
    odd = entry(kind="photo", body={"sha256": name})
    assert statuses(shop.smith.sync(before, odd, after)) == ["stored"] * 3
    assert [row["body"] for row in shop.owner.pull_all()] == [before["body"], odd["body"], after["body"]]


@pytest.mark.parametrize("named", [["a"], {"a": 1}, 5, None, "\ud800"], ids=repr)
def test_a_correction_that_names_no_entry_holds_up_none_of_its_neighbours(shop: Shop, named: Any) -> None:
    odd = entry(kind="correct", body={"entry_id": named, "body": {"text": "x"}})
    assert statuses(shop.smith.sync(odd, entry())) == ["stored"] * 2


def nested(depth: int, *, kind: str, core: str) -> dict[str, Any]:
    """A body with lists or objects one inside the other, itself the first of them."""
    found: Any = core
    for _ in range(depth - 1):
        found = [found] if kind == "list" else {"a": found}
    return {"x": found}


@pytest.mark.parametrize("kind", ["list", "object"])
@pytest.mark.parametrize("depth", [DEEPEST_BODY, DEEPEST_BODY + 1, 400, 900])
def test_a_body_nested_beyond_sense_is_refused_by_itself_each_time(shop: Shop, kind: str, depth: int) -> None:
    one = entry(body=nested(depth, kind=kind, core="a"))
    other = {**one, "body": nested(depth, kind=kind, core="b")}
    deep = depth > DEEPEST_BODY
    for offered, expected in ((one, "stored"), (one, "had"), (other, "other_body")):
        neighbour = entry()
        answer = shop.smith.sync(offered, neighbour)
        assert statuses(answer) == ["bad_envelope" if deep else expected, "stored"]
        assert answer["results"][0].get("field") == ("body" if deep else None)


def test_many_things_side_by_side_are_not_deep(shop: Shop) -> None:
    body = {"stations": [{"at_mm": place, "gap_mm": [0.1]} for place in range(500)]}
    assert statuses(shop.smith.sync(entry(body=body))) == ["stored"]
