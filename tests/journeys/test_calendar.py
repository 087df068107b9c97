"""The hard blade's clock goes to the phone's own calendar in two taps, with no network."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from common.running_server import RunningServer
from icalendar import Calendar
from phone import Phone
from playwright.sync_api import expect
from words import say


def instant(at_ms: int) -> datetime:
    """Return a UTC instant to the second, as calendar files have it."""
    return datetime.fromtimestamp(at_ms // 1000, tz=UTC)


def test_the_hard_blade_is_in_the_calendar_in_two_taps_offline(
    server: RunningServer, new_phone: Callable[..., Phone], tmp_path: Path
) -> None:
    phone = new_phone(server)
    phone.join(server.load_demo())
    phone.press(phone.page.locator("button.blade-row", has_text="QF-107"))
    expect(phone.page.locator("h1")).to_have_text(say("fold.word.brittle"))
    piece_id = phone.page.url.rsplit("/", 1)[1]
    phone.offline()
    server.stop()
    phone.picture("calendar-before")

    phone.press(phone.page.locator(".people-strip .tag"))
    with phone.page.expect_download() as handed:
        phone.press(say("app.warns.arm"))
    expect(phone.page.locator("main.work .warns")).to_contain_text(say("app.warns.calendar"))
    phone.picture("calendar-after")

    file = tmp_path / "clock.ics"
    handed.value.save_as(file)
    assert handed.value.suggested_filename == "temperward-QF-107.ics"
    events = Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    (clock,) = [clock for clock in phone.fold_of(piece_id)["clocks"] if clock["kind"] == "brittle"]
    due = {stage["stage"]: instant(stage["due_ms"]) for stage in clock["stages"]}
    assert [event["DTSTART"].dt for event in events] == [due["hurry"], due["alarm"]]
    assert {event["DTSTART"].dt.utcoffset() for event in events} == {timedelta(0)}
    assert len({str(event["UID"]) for event in events}) == len(events)
    for event in events:
        assert str(event["SUMMARY"]).startswith("QF-107: ")
        assert [alarm["TRIGGER"].dt for alarm in event.walk("VALARM")] == [timedelta(0)]


def test_a_blade_with_no_clock_offers_no_calendar(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    phone.join(demo_server.load_demo())
    phone.press(phone.page.locator("button.blade-row", has_text="QF-102"))
    expect(phone.page.locator("main.work")).to_be_visible()
    phone.press(phone.page.locator(".people-strip .tag"))
    expect(phone.page.get_by_role("button", name=say("app.log.title"), exact=True)).to_be_visible()
    expect(phone.button(say("app.warns.arm"))).to_have_count(0)
