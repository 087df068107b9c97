"""Wrong, double and doubtful input: asked back, refused by name, counted once, and nothing typed is lost."""

from __future__ import annotations

import re
from collections.abc import Callable

from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import Locator, expect
from smith import Smith
from words import say

CLOCK_BACK_MIN = 45


def open_blade(phone: Phone, tag: str) -> Smith:
    phone.open("blades")
    phone.press(phone.page.locator("button.blade-row", has_text=tag))
    expect(phone.page.locator("main.work")).to_be_visible()
    smith = Smith(phone)
    smith.piece_id = smith.path()[1]
    return smith


def open_check(phone: Phone, smith: Smith, check: str) -> None:
    phone.open(f"blade/{smith.piece_id}/check/{check}")
    expect(phone.page.locator("h1")).to_have_text(say(f"app.check.{check}"))


def pad(phone: Phone) -> Locator:
    return phone.page.locator(".pad-value input")


def checks(phone: Phone, smith: Smith, check: str) -> list[dict[str, object]]:
    found = [entry["body"] for entry in phone.entries_of(smith.piece_id) if entry["kind"] == "check"]
    return [body for body in found if body["check"] == check]


def typed(phone: Phone, text: str) -> None:
    """Type with a real keyboard over what stands in the pad's field."""
    pad(phone).fill("")
    phone.page.keyboard.type(text)


def test_a_typed_temperature_is_asked_back_refused_and_kept_in_the_persons_unit(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.join(server.load_demo())
    phone.offline()
    smith = open_blade(phone, "QF-110")
    asked_back(phone, smith)
    refused_by_name(phone)
    comma_is_a_decimal_comma(phone, smith)
    degrees_fahrenheit(phone, smith)
    a_double_tap_counts_once(phone, smith)


def asked_back(phone: Phone, smith: Smith) -> None:
    """1,205 is one and a bit or twelve hundred: the smith says which, and nothing is kept meanwhile."""
    before = len(checks(phone, smith, "oven_temperature"))
    open_check(phone, smith, "oven_temperature")
    typed(phone, "1,205")
    expect(phone.page.get_by_role("alert").filter(has_text=say("app.pad.which"))).to_be_visible()
    phone.picture("bad-which")
    phone.press_primary()
    expect(phone.page.locator("h1")).to_have_text(say("app.check.oven_temperature"))
    assert len(checks(phone, smith, "oven_temperature")) == before
    phone.press(phone.page.get_by_role("button", name="1205", exact=True))
    expect(pad(phone)).to_have_value("1205")


def refused_by_name(phone: Phone) -> None:
    """Field, value, range and unit are named; what was typed stays, also over a killed page."""
    phone.press_primary()
    refused = phone.page.locator(".refused")
    expect(refused).to_contain_text(say("app.field.temperature_c"))
    for part in ("1205", "°C"):
        expect(refused).to_contain_text(part)
    assert re.search(r"\d+ to \d+ °C", refused.inner_text())
    phone.picture("bad-range")
    expect(pad(phone)).to_have_value("1205")
    phone.kill_and_reopen()
    expect(pad(phone)).to_have_value("1205")


def comma_is_a_decimal_comma(phone: Phone, smith: Smith) -> None:
    typed(phone, "204,5")
    phone.page.keyboard.press("Enter")
    expect(phone.page.locator("main.work")).to_be_visible()
    assert checks(phone, smith, "oven_temperature")[-1]["temperature_c"] == 204.5


def degrees_fahrenheit(phone: Phone, smith: Smith) -> None:
    """A person who reads degrees Fahrenheit types and is refused in them; the log has degrees Celsius."""
    phone.open("settings")
    group = phone.page.get_by_role("group", name=say("app.set.temperature_unit"), exact=True)
    phone.press(group.get_by_role("button", name="°F", exact=True))
    open_check(phone, smith, "oven_temperature")
    typed(phone, "2000")
    expect(phone.page.locator("label.pad-value")).to_contain_text("°F")
    phone.press_primary()
    expect(phone.page.locator(".refused")).to_contain_text("2000")
    assert re.search(r"\d+ to \d+ °F", phone.page.locator(".refused").inner_text())
    phone.picture("bad-range-f")
    typed(phone, "401")
    phone.press_primary()
    expect(phone.page.locator("main.work")).to_be_visible()
    assert checks(phone, smith, "oven_temperature")[-1]["temperature_c"] == 205
    phone.open(f"log/{smith.piece_id}")
    expect(phone.page.locator(".log-line").first).to_contain_text("401 °F")


def a_double_tap_counts_once(phone: Phone, smith: Smith) -> None:
    """Two contacts where one was meant make one mark, by thumb and by pedal."""
    smith = open_blade(phone, "QF-109")
    primary = phone.primary()
    label = primary.inner_text()
    before = len(phone.entries_of(smith.piece_id))
    box = primary.bounding_box()
    assert box is not None
    phone.page.wait_for_timeout(300)
    for _ in range(2):
        phone.page.touchscreen.tap(box["x"] + 40, box["y"] + 40)
    smith.wait_until(lambda: "check" in smith.path() or len(phone.entries_of(smith.piece_id)) > before, label)
    phone.fold_of(smith.piece_id)
    phone.page.wait_for_timeout(500)
    assert len(phone.entries_of(smith.piece_id)) <= before + 1
    if "check" in smith.path():
        assert phone.page.locator(".refused").count() == 0


def test_a_clock_set_back_is_noticed_and_told(server: RunningServer, new_phone: Callable[..., Phone]) -> None:
    phone = new_phone(server, shift_ms=1)
    phone.join(server.load_demo())
    smith = open_blade(phone, "QF-110")
    phone.open(f"blade/{smith.piece_id}/note")
    phone.page.get_by_label(say("app.note.label")).fill("Before the clock was set")
    phone.press(say("app.keep"))
    expect(phone.page.locator("main.work")).to_be_visible()
    phone.pass_time(minutes=-CLOCK_BACK_MIN)
    phone.kill_and_reopen()
    bar = phone.page.locator(".notice.warning")
    expect(bar).to_contain_text(re.compile(r"Clock set back 4[4-5] min"))
    phone.picture("clock-back")
