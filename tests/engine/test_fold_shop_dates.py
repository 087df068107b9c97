"""What has a date printed on it, and the tester's block: shown at ready to harden, in the way of nothing."""

from __future__ import annotations

from typing import Any

import pytest
from log_maker import Log, plain_card

DAY_MS = 86_400_000


def ready_log() -> Log:
    log = Log(card=plain_card()).ground()
    for _ in range(3):
        log.cycle(0.1)
    return log.get_ready()


def instrument(
    what: str, *, until_ms: int | None = None, last: list[dict[str, Any]] | None = None
) -> dict[str, Any]:
    facts = {"what": what} if until_ms is None else {"what": what, "until_ms": until_ms}
    return {"log_id": f"{what}-{until_ms}", "name": what, "facts": facts, "last": last or []}


def items_with(log: Log, *instruments: dict[str, Any]) -> dict[str, dict[str, Any]]:
    gate = log.fold(related={"instrument": list(instruments)})["gates"][0]
    return {one["id"]: one for one in gate["items"]}


@pytest.mark.parametrize("what", ["extinguisher", "co_alarm"])
def test_a_date_that_is_over_shows_and_blocks_nothing(what: str) -> None:
    log = ready_log()
    good = items_with(log, instrument(what, until_ms=log.now_ms + DAY_MS))[what + "_date"]
    assert (good["passed"], good["expires_ms"]) == (True, log.now_ms + DAY_MS)
    over = instrument(what, until_ms=log.now_ms - 1)
    for several in ([over], [over, instrument(what, until_ms=log.now_ms + DAY_MS)]):
        late = items_with(log, *several)[what + "_date"]
        assert (late["passed"], late["hard"], late["value"]["key"]) == (False, False, "fold.value.overdue")
    assert log.fold(related={"instrument": [over]})["phase"] == log.fold()["phase"]
    assert what + "_date" not in items_with(log, instrument(what))  # nobody wrote its date down


@pytest.mark.parametrize(("hours", "passed"), [(11.9, True), (12.0, False)])
def test_the_tester_is_held_to_its_block_once_a_session(hours: float, *, passed: bool) -> None:
    log = ready_log()
    read = [{"check": "test_block", "happened_ms": log.now_ms - round(hours * 3_600_000)}]
    item = items_with(log, instrument("hardness_tester", last=read))["test_block"]
    assert (item["passed"], item["hard"]) == (passed, False)
    both = items_with(log, instrument("hardness_tester"), instrument("hardness_tester", last=read))
    assert both["test_block"]["passed"] is passed
    assert items_with(log, instrument("hardness_tester"))["test_block"]["passed"] is None
    assert "test_block" not in items_with(log, instrument("feelers"))
