"""What was forgotten, pressed by mistake or overruled: told late, taken back, held for, and shown."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

import pytest
from common.running_server import RunningServer
from demo_phone import demo_phone
from phone import Phone
from playwright.sync_api import Browser, expect
from smith import Smith
from words import say

BACK = [("seconds", 10, 10), ("seconds", 30, 30)]
BACK += [("minutes", n, 60 * n) for n in (1, 2, 5, 10, 30)]
GO_ANYWAY = say("fold.do.override").split(":")[0]
COOLING, AT_THE_GATE, LONG = "QF-109", "QF-110", "QF-102"


@pytest.fixture(scope="module")
def phone(chromium: Browser, demo_server: RunningServer) -> Iterator[Phone]:
    """A phone with the demo and no network: what it changes stays its own."""
    with demo_phone(chromium, demo_server, COOLING, AT_THE_GATE, LONG, offline=True) as joined:
        yield joined


def open_blade(phone: Phone, tag: str) -> Smith:
    phone.open("blades")
    phone.press(phone.page.locator("button.blade-row", has_text=tag))
    expect(phone.page.locator("main.work")).to_be_visible()
    return Smith(phone, piece_id=phone.page.url.rsplit("/", 1)[1])


def told(phone: Phone) -> datetime:
    """Return the time of day that the keeping button names."""
    found = re.search(r"\d\d:\d\d:\d\d", phone.primary().inner_text())
    assert found is not None
    return datetime.strptime(found[0], "%H:%M:%S")  # noqa: DTZ007 - a time of day


def tells(phone: Phone, when: datetime) -> None:
    """Wait until the keeping button names this time of day."""
    expect(phone.primary()).to_contain_text(when.strftime("%H:%M:%S"))


def test_a_mark_is_told_late_by_seven_buttons_by_steps_or_by_the_clock_and_is_shown_as_back_dated(
    phone: Phone,
) -> None:
    smith = open_blade(phone, COOLING)
    due_ms = phone.fold_of(smith.piece_id)["clocks"][0]["due_ms"]
    phone.open(f"blade/{smith.piece_id}/earlier")
    marked = told(phone)
    for unit, n, seconds in BACK:
        before = told(phone)
        phone.press(say(f"app.earlier.{unit}", n=n), settle_s=0.02)
        tells(phone, before - timedelta(seconds=seconds))
    for step, seconds in (("step_back", 5), ("step_on", -5)):
        before = told(phone)
        phone.press(say(f"app.earlier.{step}", n=5), settle_s=0.02)
        tells(phone, before - timedelta(seconds=seconds))
    clock = (marked - timedelta(seconds=90)).strftime("%H:%M:%S")
    phone.page.get_by_label(say("app.earlier.clock")).fill(clock)
    expect(phone.primary()).to_have_text(say("app.earlier.keep", time=clock))
    phone.press_primary()
    expect(phone.page.locator("main.work")).to_be_visible()
    moved_ms = due_ms - phone.fold_of(smith.piece_id)["clocks"][0]["due_ms"]
    assert 90_000 <= moved_ms < 91_000  # the time of day was given to the second
    phone.open(f"log/{smith.piece_id}")
    line = phone.page.locator("li", has=phone.page.locator("s.struck")).first
    expect(line).to_contain_text(say("app.at.back_dated"))


def test_undo_takes_back_after_the_page_was_killed(phone: Phone) -> None:
    smith = open_blade(phone, COOLING)
    word = phone.word()
    smith.press_on()
    made = phone.entries_of(smith.piece_id)[-1]["id"]
    expect(phone.page.locator("main.work h1")).not_to_have_text(word)
    phone.kill_and_reopen()
    phone.press(phone.page.locator(".small-row button").last)
    smith.wait_until(lambda: made in phone.fold_of(smith.piece_id)["withdrawn"], "taken back")
    phone.reads(word)


def test_scrapping_a_blade_wants_to_be_held_or_pressed_twice(phone: Phone) -> None:
    smith = open_blade(phone, LONG)
    phone.open(f"blade/{smith.piece_id}/more")
    before = len(phone.entries_of(smith.piece_id))
    scrap = say("fold.do.scrapped")
    phone.press(scrap)
    phone.press(scrap, hold_s=0.4)
    phone.page.wait_for_timeout(500)
    assert len(phone.entries_of(smith.piece_id)) == before
    phone.press(scrap, hold_s=1.0)
    smith.wait_until(lambda: len(phone.entries_of(smith.piece_id)) == before + 1, "scrapped")
    assert phone.entries_of(smith.piece_id)[-1]["body"]["mark"] == "scrapped"


def test_an_override_wants_three_letters_and_initials_and_is_on_the_blades_page(phone: Phone) -> None:
    smith = open_blade(phone, AT_THE_GATE)
    phone.open(f"blade/{smith.piece_id}/override/ready_to_harden")
    for name, text in (("reason", "no"), ("initials", "MO")):
        phone.page.get_by_label(say(f"app.field.{name}")).fill(text)
    phone.press(GO_ANYWAY)
    expect(phone.page.get_by_role("alert").filter(has_text=say("app.form.missing.reason"))).to_be_visible()
    phone.page.get_by_label(say("app.field.reason")).fill("oven at 188, rising")
    phone.page.get_by_label(say("app.field.initials")).fill("")
    phone.press(GO_ANYWAY)
    expect(phone.page.get_by_role("alert").filter(has_text=say("app.form.missing.initials"))).to_be_visible()
    phone.page.get_by_label(say("app.field.initials")).fill("MO")
    phone.press(GO_ANYWAY)
    smith.wait_until(lambda: phone.entries_of(smith.piece_id)[-1]["kind"] == "override", "the override")
    phone.open(f"log/{smith.piece_id}")
    line = phone.page.locator("li", has_text="oven at 188, rising").first
    expect(line).to_contain_text("MO")
    phone.open(f"blade/{smith.piece_id}")
    expect(phone.page.locator("main.work")).to_contain_text(say("app.gate.anyway", initials="MO"))


def correct(phone: Phone, smith: Smith, check: str) -> None:
    """Go from a reading's line in the log to what puts it right."""
    phone.open(f"log/{smith.piece_id}")
    line = phone.page.locator("li", has_text=say(f"app.check.{check}")).first
    phone.press(line.locator("summary"))
    phone.press(line.get_by_role("button", name=say("app.log.correct"), exact=True))


def kept(phone: Phone, smith: Smith) -> dict[str, Any]:
    """Keep what was put right; return what the newest entry says instead."""
    phone.press_primary()
    expect(phone.page.locator("main.work")).to_be_visible()
    last = phone.entries_of(smith.piece_id)[-1]
    assert last["kind"] == "correct"
    body: dict[str, Any] = last["body"]["body"]
    return body


def test_a_wrong_reading_is_put_right_and_the_log_shows_both(phone: Phone) -> None:
    smith = open_blade(phone, AT_THE_GATE)
    correct(phone, smith, "oven_temperature")
    pad = phone.page.locator(".pad-value input")
    expect(pad).to_have_value("188")
    pad.fill("204")
    body = kept(phone, smith)
    assert (body["temperature_c"], body["instrument"]) == (204, "Thermocouple")
    oven = [
        item
        for gate in phone.fold_of(smith.piece_id)["gates"]
        for item in gate["items"]
        if item["id"] == "oven"
    ]
    assert [item["passed"] for item in oven] == [True]
    phone.open(f"log/{smith.piece_id}")
    line = phone.page.locator("li", has_text=say("app.check.oven_temperature")).first
    expect(line).to_contain_text("204")
    expect(line.locator("s.struck").last).to_contain_text("188")


def test_feeler_readings_are_put_right_from_what_was_read(phone: Phone) -> None:
    smith = open_blade(phone, COOLING)
    before = phone.fold_of(smith.piece_id)["bows"]
    correct(phone, smith, "straightness")
    middle = phone.page.locator(".station-list button.station", has_text=re.compile(r"1[.,]05$")).first
    phone.press(middle)
    phone.page.locator(".pad-value input").fill("1,45")
    body = kept(phone, smith)
    assert max(one["gap_mm"] for one in body["stations"]) == 1.45
    bows = phone.fold_of(smith.piece_id)["bows"]
    assert len(bows) == len(before)
    assert bows[-1]["bow_mm"] > before[-1]["bow_mm"] + 0.3
