"""A kink is straightened hot and cycled again, however small its bow (PROCESS D7)."""

from __future__ import annotations

from typing import Any

import pytest
from log_maker import Log, plain_card

Body = dict[str, Any]
# 420 mm over nine stations: a sharp bend of 0.40 mm next to the end, inside the limit of 0.42 mm.
KINKED = [0.0, 0.40, 0.34, 0.29, 0.23, 0.17, 0.11, 0.06, 0.0]
# The same height as an even arc.
ARC = [0.0, 0.17, 0.30, 0.37, 0.40, 0.37, 0.30, 0.17, 0.0]
STEP_MM = 52.5


def read(log: Log, gaps_mm: list[float], **rest: Any) -> str:
    stations = [{"at_mm": k * STEP_MM, "gap_mm": 1.0 + gap} for k, gap in enumerate(gaps_mm)]
    body = {"length_mm": 420, "pad_mm": 1.0, "stations": stations, "side": "left"}
    return str(log.check("straightness", body, after_s=60, **rest))


def after_the_last_cycle(gaps_mm: list[float] | None) -> Log:
    log = Log(card=plain_card()).ground()
    log.cycle(0.15).cycle(0.15).cycle(None)
    if gaps_mm is not None:
        read(log, gaps_mm)
    return log


def bow_item(log: Log) -> Body:
    gates = {gate["id"]: gate for gate in log.fold()["gates"]}
    return next(one for one in gates["ready_to_harden"]["items"] if one["id"] == "bow")


def test_an_arc_of_the_same_height_passes() -> None:
    log = after_the_last_cycle(ARC)
    assert bow_item(log)["passed"] is True
    assert log.fold()["phase"] == "cold.ready"


def test_a_kink_inside_the_limit_shuts_the_way_to_hardening() -> None:
    log = after_the_last_cycle(KINKED)
    fold = log.fold()
    assert fold["bows"][-1]["bow_mm"] < fold["bows"][-1]["limit_mm"]
    item = bow_item(log)
    assert (item["passed"], item["value"]) == (False, {"key": "fold.value.kink", "facts": {"kink_mm": 52.5}})
    assert (fold["phase"], fold["sentence"]["facts"]["kink_mm"]) == ("cold.kink", 52.5)
    assert fold["next"]["mark"] == "straightening"
    assert "bow_over" in [one["id"] for one in fold["findings"] if one["open"]]


def test_a_kink_that_was_straightened_owes_one_full_cycle() -> None:
    log = after_the_last_cycle(KINKED)
    log.mark("straightening", after_s=30)
    log.mark("straightened", after_s=60)
    read(log, ARC)
    fold = log.fold()
    assert fold["cycles_planned"] == fold["cycles_done"] + 1


def test_two_readings_without_it_outvote_one_with_it() -> None:
    log = after_the_last_cycle(KINKED)
    read(log, ARC)
    assert log.fold()["phase"] == "cold.kink"
    read(log, ARC)
    assert log.fold()["phase"] == "cold.ready"


def test_a_kink_may_be_gone_around_with_reason_and_initials() -> None:
    log = after_the_last_cycle(KINKED)
    body = {
        "gate": "ready_to_harden",
        "items": ["bow"],
        "reason": "in the tang, ground away",
        "initials": "MO",
    }
    log.add("override", body)
    assert log.fold()["phase"] == "cold.ready"


@pytest.mark.parametrize("gaps", [KINKED, ARC], ids=["kinked", "arc"])
def test_after_the_quench_a_kink_says_nothing_new_and_stands_before_nothing(gaps: list[float]) -> None:
    log = Log().to_hard()
    log.mark("hand_warm", after_s=950)
    read(log, gaps)
    assert log.fold()["next"]["mark"] == "in_oven"
