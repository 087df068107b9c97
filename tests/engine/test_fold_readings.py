"""What two phones read of one thing, and which readings the card asks for before the quench."""

from __future__ import annotations

from typing import Any

import pytest
from log_maker import Log, plain_card

Body = dict[str, Any]
OTHER = "phone-b"


def filed_twice(first: Body, second: Body, *, device: str = OTHER) -> tuple[Log, list[str]]:
    """A hard blade that two people file."""
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=900)
    return log, [log.check("file", first, after_s=60), log.check("file", second, after_s=60, device=device)]


def filed(answer: str, place: str = "edge", **rest: Any) -> Body:
    return {"answer": answer, "place": place, **rest}


def test_two_phones_that_find_one_place_different_are_asked_which_holds() -> None:
    log, ids = filed_twice(filed("skates"), filed("bites"))
    assert log.fold()["conflicts"] == [{"check": "file", "entry_ids": ids}]
    third = log.check("file", filed("skates"), after_s=60, device="phone-c")
    assert log.fold()["conflicts"] == [{"check": "file", "entry_ids": [*ids, third]}]


@pytest.mark.parametrize(
    ("second", "device"),
    [
        (filed("skates"), OTHER),  # the same
        (filed("skates", instrument="another file"), OTHER),  # the same, with another file
        (filed("bites", "spine"), OTHER),  # another place
        (filed("bites"), "phone-a"),  # one person corrects himself
    ],
)
def test_what_is_no_dispute(second: Body, device: str) -> None:
    log, _ = filed_twice(filed("skates"), second, device=device)
    assert log.fold()["conflicts"] == []


def in_the_hardening_heat(checks: list[str]) -> Log:
    """In the fire, with a card that asks for these readings before the quench."""
    card = plain_card()
    card["steps"] = [
        {"id": "heat", "states": ["hardening_heat"], "checks": [{"check": one} for one in checks]}
    ]
    log = Log(card=card).ground()
    for _ in range(3):
        log.cycle(0.15)
    log.get_ready()
    log.mark("hardening_fire", after_s=60)
    return log


def quench_go(log: Log, *, after_s: float = 0) -> dict[str, Any]:
    return next(gate for gate in log.fold(after_s=after_s)["gates"] if gate["id"] == "quench_go")


@pytest.mark.parametrize(
    ("asked", "reading"),
    [("magnet", {"answer": "none", "rising": True}), ("colour", {"even": True})],
)
def test_the_soak_runs_from_the_one_reading_that_the_card_asks_for(asked: str, reading: Body) -> None:
    log = in_the_hardening_heat([asked])
    assert [one["id"] for one in quench_go(log)["items"]] == [asked, "soak"]
    log.check(asked, reading, after_s=300)
    assert not quench_go(log, after_s=119)["open"]
    assert quench_go(log, after_s=121)["open"]


def test_a_card_without_checks_asks_for_both() -> None:
    assert [one["id"] for one in quench_go(in_the_hardening_heat([]))["items"]] == [
        "magnet",
        "colour",
        "soak",
    ]
