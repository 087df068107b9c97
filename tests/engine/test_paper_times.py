"""Times from the paper: its boxes are the card's steps, and what is typed in them tells the blade's story."""

from __future__ import annotations

from typing import Any

import pytest
from common.card_cases import card, plan
from log_maker import START_MS, Log

from temperward.engine.api import ask

MINUTE_MS = 60_000
PLAN = plan(temper_cycles=2, cycles=3)
# A day's work as it stands on the paper, minutes after the card was made.
WRITTEN = {
    "ground-ready.done": 5,
    "cycle-1.in": 20,
    "cycle-1.out": 31,
    "cycle-2.in": 60,
    "cycle-2.out": 70,
    "cycle-3.in": 100,
    "cycle-3.out": 109,
    "ready-to-harden.done": 140,
    "hardening-heat.in": 145,
    "quench.in": 157,
    "straighten-now.out": 158,
    "temper-1.in": 180,
    "temper-1.at": 205,
    "temper-1.out": 330,
    "temper-2.in": 360,
    "temper-2.at": 385,
    "temper-2.out": 510,
}


def new_log() -> Log:
    return Log(card=card(PLAN))


def asked(log: Log, times: dict[str, int] | None = None) -> dict[str, Any]:
    return dict(ask("paper_times", {**log.facts(), "times": times or {}})["answer"])


def instants(written: dict[str, int] = WRITTEN) -> dict[str, int]:
    return {box: START_MS + minutes * MINUTE_MS for box, minutes in written.items()}


def retyped(log: Log, times: dict[str, int], *, now_min: int = 520) -> dict[str, Any]:
    """Keep the lines as the phone does, all at one time, and fold."""
    log.now_ms = START_MS + now_min * MINUTE_MS
    for line in asked(log, times)["lines"]:
        ago_s = (log.now_ms - line["happened_ms"]) / 1000
        log.add(
            line["kind"],
            line["body"],
            ago_s=ago_s,
            at_source=line["at_source"],
            plus_minus_s=line["plus_minus_s"],
        )
    return log.fold()


def test_every_time_box_of_the_paper_has_its_place() -> None:
    boxes = asked(new_log())["boxes"]
    assert [box["id"] for box in boxes] == list(WRITTEN)
    assert not any(box["done"] for box in boxes)
    assert all(box["title"]["key"].startswith("card.title.") for box in boxes)


def test_a_whole_day_retyped_is_the_blade_that_was_worked() -> None:
    fold = retyped(new_log(), instants())
    assert fold["state"]["id"] == "temper_cooling"
    assert [flag["id"] for flag in fold["flags"] if flag["id"] == "order"] == []
    assert all(box["done"] for box in asked_after(instants()))


def asked_after(times: dict[str, int]) -> list[dict[str, Any]]:
    log = new_log()
    retyped(log, times)
    return list(asked(log)["boxes"])


def test_a_time_is_good_to_the_minute_and_growing_cold_is_estimated() -> None:
    lines = asked(new_log(), instants())["lines"]
    by_source = {
        source: [one for one in lines if one["at_source"] == source] for source in ("back_dated", "estimated")
    }
    assert len(by_source["back_dated"]) == len(WRITTEN)
    assert {one["plus_minus_s"] for one in by_source["back_dated"]} == {60}
    assert [one["body"]["mark"] for one in by_source["estimated"]] == ["cold"] * 3 + ["cold_after_temper"]
    for one in by_source["estimated"]:
        assert one["plus_minus_s"] > 60
    assert [one["happened_ms"] for one in lines] == sorted(one["happened_ms"] for one in lines)


def test_a_temper_whose_heat_nobody_read_leaves_the_blade_hard() -> None:
    """A paper with in and out alone says nothing of how hot it was: people are warned as of a hard blade."""
    unread = {box: minutes for box, minutes in WRITTEN.items() if not box.endswith(".at")}
    assert retyped(new_log(), instants(unread))["state"]["id"] == "hard"


def test_what_is_still_growing_cold_is_not_said_to_be() -> None:
    written = {box: WRITTEN[box] for box in ("ground-ready.done", "cycle-1.in", "cycle-1.out")}
    fold = retyped(new_log(), instants(written), now_min=32)
    assert fold["state"]["id"] == "cycle_cooling"


def test_a_hard_blade_on_the_paper_has_its_clock_from_its_quench() -> None:
    written = {box: minutes for box, minutes in WRITTEN.items() if minutes <= 157}
    fold = retyped(new_log(), instants(written), now_min=190)
    clock = next(one for one in fold["clocks"] if one["kind"] == "brittle")
    assert clock["from_ms"] == START_MS + 157 * MINUTE_MS


def test_what_the_phone_marked_itself_is_not_asked_for_again() -> None:
    log = new_log().ground()
    log.mark("in_fire", after_s=600)
    done = [box["id"] for box in asked(log)["boxes"] if box["done"]]
    assert done == ["ground-ready.done", "cycle-1.in"]


@pytest.mark.parametrize("times", [{"quench.in": "14:02"}, {"quench.in": -1}, {"quench.in": None}, [1]])
def test_what_is_no_instant_is_refused_by_name(times: Any) -> None:
    answer = ask("paper_times", {**new_log().facts(), "times": times})
    assert answer["error"]["field"].startswith("times")
