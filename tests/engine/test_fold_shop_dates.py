"""What has a date printed on it, and the tester's block: shown at ready to harden, in the way of nothing."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from log_maker import Log, plain_card

from temperward.engine.process.days import end_of_day_ms

DAY_MS = 86_400_000


def ready_log() -> Log:
    log = Log(card=plain_card()).ground()
    for _ in range(3):
        log.cycle(0.1)
    return log.get_ready()


def day_of(at_ms: int) -> str:
    return datetime.fromtimestamp(at_ms / 1000, UTC).date().isoformat()


def instrument(
    what: str, *, until: str | None = None, last: list[dict[str, Any]] | None = None
) -> dict[str, Any]:
    facts = {"what": what} if until is None else {"what": what, "until": until}
    return {"log_id": f"{what}-{until}", "name": what, "facts": facts, "last": last or []}


def items_with(log: Log, *instruments: dict[str, Any]) -> dict[str, dict[str, Any]]:
    gate = log.fold(related={"instrument": list(instruments)})["gates"][0]
    return {one["id"]: one for one in gate["items"]}


@pytest.mark.parametrize("what", ["extinguisher", "co_alarm"])
def test_a_date_that_is_over_shows_and_blocks_nothing(what: str) -> None:
    log = ready_log()
    today, yesterday = day_of(log.now_ms), day_of(log.now_ms - DAY_MS)
    good = items_with(log, instrument(what, until=today))[what + "_date"]
    assert good["passed"] is True  # good to the end of its day
    assert 0 < good["expires_ms"] - log.now_ms <= DAY_MS
    over = instrument(what, until=yesterday)
    for several in ([over], [over, instrument(what, until=today)]):
        late = items_with(log, *several)[what + "_date"]
        assert (late["passed"], late["hard"], late["value"]["key"]) == (False, False, "fold.value.overdue")
    assert log.fold(related={"instrument": [over]})["phase"] == log.fold()["phase"]
    for nothing in (None, "", "next spring", "2027-13-01", "27"):  # nobody wrote its date down
        assert what + "_date" not in items_with(log, instrument(what, until=nothing))


@given(st.dates())
def test_a_day_ends_when_the_calendar_says(day: date) -> None:
    after = datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp() + DAY_MS / 1000
    assert end_of_day_ms(day.isoformat()) == after * 1000


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
