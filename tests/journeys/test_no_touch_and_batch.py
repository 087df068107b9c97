"""Touches off, several blades together, a temper that went wrong: on the demo's live blades."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest
from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import expect
from words import say

HELD_S = 1.3  # the strip wants one second
HARD, IN_OVEN = "QF-107", "QF-108"


@pytest.fixture
def phone(server: RunningServer, new_phone: Callable[..., Phone]) -> Phone:
    """A phone with the demo shop on it, its ringing blade made quiet."""
    joined = new_phone(server)
    joined.join(server.load_demo())
    joined.press(say("app.quiet"))
    return joined


def open_blade(phone: Phone, tag: str) -> str:
    phone.press(phone.page.locator("button.blade-row", has_text=tag))
    expect(phone.page.locator(".people-strip .tag")).to_contain_text(tag)
    return str(phone.page.evaluate("location.hash.split('/')[2]"))


def test_touch_off_feels_no_finger_but_keys_fire_and_the_strip(phone: Phone) -> None:
    blade = open_blade(phone, HARD)
    phone.press(phone.page.locator(".people-strip .tag"))
    phone.press(say("app.touch.off"))
    strip = phone.page.locator(".touch-strip button")
    expect(strip).to_be_visible()
    before = len(phone.entries_of(blade))
    phone.touch(phone.primary())
    phone.touch(strip, hold_s=0.5)
    time.sleep(0.5)
    assert len(phone.entries_of(blade)) == before
    phone.kill_and_reopen()
    strip = phone.page.locator(".touch-strip button")
    expect(strip).to_be_visible()
    phone.touch(phone.page.locator(".people-strip .fire"))
    expect(phone.page.locator("h1")).to_have_text(say("app.people.fire"))
    phone.press(say("app.people.all_clear"), hold_s=1.0)
    expect(strip).to_be_visible()
    expect(phone.primary()).to_be_visible()
    before = len(phone.entries_of(blade))
    phone.page.keyboard.press("Space")
    until_s = time.monotonic() + 20
    while len(phone.entries_of(blade)) == before and time.monotonic() < until_s:
        time.sleep(0.2)
    assert len(phone.entries_of(blade)) == before + 1
    phone.touch(strip, hold_s=HELD_S)
    expect(strip).to_have_count(0)


def test_a_blade_of_the_batch_that_fell_is_in_the_log_with_two_presses(phone: Phone) -> None:
    blade = open_blade(phone, HARD)
    phone.open("batch")
    expect(phone.page.locator(".tiles button").first).to_contain_text(HARD)
    expect(phone.page.locator(".caption")).to_contain_text(say("batch.caption.no_alarm", name=HARD))
    phone.press(say("app.batch.dropped"))
    phone.press(phone.page.locator(".tiles button", has_text=HARD))
    phone.shows(say("findings.dropped_hard.do_now"))
    assert phone.entries_of(blade)[-1]["body"] == {"finding": "dropped_hard"}


def test_the_bath_under_the_batch_has_a_table(phone: Phone) -> None:
    phone.open("bath")
    expect(phone.page.locator("table.readings").first).to_be_visible()


def test_a_power_cut_is_worked_out_on_the_phone_with_no_network(phone: Phone) -> None:
    open_blade(phone, IN_OVEN)
    phone.offline()
    blade = str(phone.page.evaluate("location.hash.split('/')[2]"))
    phone.page.evaluate("id => { location.hash = `/blade/${id}/wrong/power_cut_in_temper`; }", blade)
    phone.page.get_by_label(say("app.field.held_min")).fill("50")
    phone.page.get_by_label(say("app.field.away_min")).fill("90")
    phone.press(say("app.asks.power_cut"))
    expect(phone.page.locator("p.do-now[role=status]")).to_contain_text("52 min")
    phone.page.get_by_label(say("app.field.held_min")).fill("-5")
    phone.press(say("app.asks.power_cut"))
    expect(phone.page.locator(".refused").first).to_be_visible()
