"""Units, light, hand, people and alarms belong to the person who holds the phone."""

from __future__ import annotations

from collections.abc import Callable

from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import Locator, expect
from words import say


def pick(phone: Phone, name: str, value: str) -> None:
    group = phone.page.get_by_role("group", name=say(f"app.set.{name}"), exact=True)
    phone.press(group.get_by_role("button", name=say(f"app.set.{name}.{value}"), exact=True))


def row(phone: Phone, tag: str) -> Locator:
    return phone.page.locator("button.blade-row", has_text=tag)


def test_degrees_fahrenheit_and_thousandths_show_on_the_blade_and_stay(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.join(server.load_demo())
    expect(row(phone, "QF-110")).to_contain_text("188 °C")
    phone.open("settings")
    pick(phone, "temperature_unit", "f")
    phone.open("blades")
    expect(row(phone, "QF-110")).to_contain_text("370 °F")
    phone.kill_and_reopen()
    expect(row(phone, "QF-110")).to_contain_text("370 °F")


def test_night_is_dark_and_day_is_light(demo_server: RunningServer, new_phone: Callable[..., Phone]) -> None:
    phone = new_phone(demo_server)
    phone.open("settings")
    grounds = {}
    for theme in ("night", "day"):
        pick(phone, "theme", theme)
        grounds[theme] = phone.page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert grounds == {"night": "rgb(11, 15, 20)", "day": "rgb(255, 255, 255)"}


def test_with_nobody_to_warn_the_screen_says_nobody(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.join(server.load_demo())
    phone.press(row(phone, "QF-107"))
    warns = phone.page.get_by_text(say("app.warns.nobody")).or_(
        phone.page.get_by_text(say("app.warns.line", who=say("app.warns.screen")))
    )
    expect(warns.first).to_be_visible()
