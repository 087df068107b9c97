"""Over midnight and the night in which the clocks go back: story 17, with the case of PROBLEMS P7."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from brought import ending, shop_with
from common.running_server import RunningServer
from engine_scenes import hard
from phone import Phone
from playwright.sync_api import expect
from words import say

MINUTE_MS = 60_000
# IANA time zone data: Dublin's clocks go from 02:00 back to 01:00 at 01:00 UTC on 25 October 2026.
QUENCHED_MS = round(datetime(2026, 10, 24, 23, 25, tzinfo=UTC).timestamp() * 1000)
BY_DAY_MS = round(datetime(2026, 10, 24, 16, 52, tzinfo=UTC).timestamp() * 1000)
MORNING_MS = round(datetime(2026, 10, 25, 9, 10, tzinfo=UTC).timestamp() * 1000)
BACK_MIN = 60


Night = Callable[[int], tuple[Phone, str]]


@pytest.fixture
def night(server: RunningServer, new_phone: Callable[..., Phone]) -> Night:
    """A phone with no network, and a blade that was quenched at this instant."""

    def make(quenched_ms: int) -> tuple[Phone, str]:
        log = ending(hard(), tag="QF-197", at_ms=quenched_ms)
        mark_ms = next(one["happened_ms"] for one in log if one["body"].get("mark") == "quenched")
        for entry in log:
            for name in ("happened_ms", "written_ms"):
                entry[name] += quenched_ms - mark_ms
        [piece_id] = shop_with(server, log)
        phone = new_phone(server, shift_ms=1)
        phone.join(server.join_link())
        phone.lists("QF-197")
        phone.offline()
        return phone, piece_id

    return make


def at(phone: Phone, at_ms: int) -> None:
    phone.pass_time(minutes=(at_ms - phone.now_ms()) / MINUTE_MS)


def look(phone: Phone, piece_id: str, at_ms: int) -> None:
    """Look at a blade at this instant."""
    at(phone, at_ms)
    phone.kill_and_reopen()
    phone.open("blades")
    phone.open(f"blade/{piece_id}")
    expect(phone.page.locator("main.work")).to_be_visible()


def test_a_clock_runs_on_through_the_hour_that_comes_twice(night: Night) -> None:
    phone, piece_id = night(QUENCHED_MS)
    with phone.clock_held():
        look(phone, piece_id, QUENCHED_MS + 59 * MINUTE_MS)
        number = phone.page.locator(".number")
        expect(number).to_have_text("59:00")
        at(phone, QUENCHED_MS + 60 * MINUTE_MS)
        expect(number).to_have_text("1:00:00")
    phone.press(say("fold.do.in_oven"))
    phone.reads(say("fold.word.temper", number=1))
    phone.pass_time(minutes=60)
    phone.open(f"blade/{piece_id}/note")
    phone.page.get_by_label(say("app.note.label")).fill("An hour in, and the same time again")
    phone.press(say("app.keep"))
    expect(phone.page.locator("main.work")).to_be_visible()
    in_oven, noted = phone.entries_of(piece_id)[-2:]
    assert (in_oven["body"].get("mark"), noted["kind"]) == ("in_oven", "note")
    assert 60 <= (noted["happened_ms"] - in_oven["happened_ms"]) / MINUTE_MS < 65
    phone.open(f"log/{piece_id}")
    lines = phone.page.locator(".log-line .time")
    expect(lines.nth(1)).to_be_visible()
    # The later stands first: in winter time, and in summer time before it.
    shown = [line.strip() for line in lines.all_inner_texts()[:2]]
    assert [re.sub(r"^01:2\d ", "", line) for line in shown] == ["GMT", "GMT+1"]
    phone.picture("hour-that-comes-twice")


def test_what_has_passed_is_counted_in_hours_that_passed(night: Night) -> None:
    phone, piece_id = night(BY_DAY_MS)
    with phone.clock_held():
        look(phone, piece_id, MORNING_MS)
        expect(phone.page.locator(".number")).to_have_text("16 h 18")


def says_so(phone: Phone) -> None:
    told = phone.page.locator(".notice.warning")
    expect(told).to_contain_text(re.compile(r"Clock set back (59|60) min"))


def test_a_clock_set_back_by_an_hour_in_the_middle_of_a_hard_blade_is_told(night: Night) -> None:
    phone, piece_id = night(QUENCHED_MS)
    look(phone, piece_id, QUENCHED_MS + 40 * MINUTE_MS)
    phone.press(say("fold.do.in_oven"))
    phone.reads(say("fold.word.temper", number=1))
    phone.pass_time(minutes=-BACK_MIN)
    phone.press(say("app.went_wrong"))  # a touch counts, whatever the clock says since the screen changed
    expect(phone.page.get_by_role("heading", name=say("app.what_now.title"))).to_be_visible()
    says_so(phone)
    phone.kill_and_reopen()
    says_so(phone)


def test_a_hard_blade_is_no_younger_and_its_alarm_no_later_for_a_clock_set_back(night: Night) -> None:
    phone, piece_id = night(QUENCHED_MS)
    with phone.clock_held():
        look(phone, piece_id, QUENCHED_MS + 59 * MINUTE_MS)
        number = phone.page.locator(".number")
        expect(number).to_have_text("59:00")
        quiet(phone, "hurry")
        phone.pass_time(minutes=-BACK_MIN)
        says_so(phone)
        phone.pass_time(minutes=1)
        expect(number).to_have_text("1:00:00")
        quiet(phone, "alarm")
        phone.kill_and_reopen()
        phone.reads(say("fold.word.brittle"))
        assert re.match("59:|1:0", phone.page.locator(".number").inner_text())  # from the first look on
        phone.press(say("fold.do.in_oven"))
        phone.reads(say("fold.word.temper", number=1))
    in_oven = phone.entries_of(piece_id)[-1]
    assert in_oven["happened_ms"] >= QUENCHED_MS + 59 * MINUTE_MS


def quiet(phone: Phone, stage: str) -> None:
    """Hear the alarm of this stage, and say so."""
    expect(phone.page.locator(f".notice.ring.{stage}")).to_be_visible()
    phone.page.keyboard.press("Escape")
    expect(phone.page.locator(".notice.ring")).to_have_count(0)


def test_a_clock_set_ahead_and_put_right_leaves_no_trace(night: Night) -> None:
    phone, piece_id = night(QUENCHED_MS)
    with phone.clock_held():
        look(phone, piece_id, QUENCHED_MS + 22 * MINUTE_MS)
        number = phone.page.locator(".number")
        expect(number).to_have_text("22:00")
        phone.pass_time(minutes=2 * BACK_MIN)
        expect(number).to_have_text("2 h 22")
        quiet(phone, "alarm")
        phone.pass_time(minutes=-2 * BACK_MIN)
        expect(number).to_have_text("22:00")
        phone.pass_time(minutes=39)
        expect(phone.page.locator(".notice.ring.alarm")).to_be_visible()
        phone.pass_time(minutes=-39)
        phone.press(say("fold.do.in_oven"))
        phone.reads(say("fold.word.temper", number=1))
        phone.pass_time(minutes=2 * BACK_MIN)
        phone.reads(say("fold.word.brittle"))  # no oven was read at heat meanwhile
        phone.pass_time(minutes=-2 * BACK_MIN)
        phone.reads(say("fold.word.temper", number=1))
