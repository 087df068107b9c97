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


def bows(phone: Phone, blade: str) -> str:
    """Return the table of bows of the long blade, whose second heat left 0.55 mm."""
    phone.open(f"blade/{blade}/straightness")
    expect(phone.page.get_by_role("img", name=say("history.warp"))).to_be_visible()
    return phone.page.locator("table.readings").first.inner_text()


def test_degrees_fahrenheit_and_thousandths_show_on_the_blade_and_stay(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.join(server.load_demo())  # its own: what was read before the quench grows old, and its number goes
    expect(row(phone, "QF-110")).to_contain_text("188 °C")
    phone.press(row(phone, "QF-102"))
    expect(phone.page.locator("main.work")).to_be_visible()
    long_blade = phone.page.url.rsplit("/", 1)[1]
    assert "0.55" in bows(phone, long_blade)
    phone.open("settings")
    pick(phone, "temperature_unit", "f")
    pick(phone, "length_unit", "thou")
    for _ in range(2):
        phone.open("blades")
        expect(row(phone, "QF-110")).to_contain_text("370 °F")
        table = bows(phone, long_blade)
        assert "21.7" in table  # 0.55 / 0.0254
        assert "thou" in table
        assert "0.55" not in table
        phone.kill_and_reopen()


def test_the_free_hand_moves_the_small_ones_and_lying_down_the_action_to_its_side(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    phone.join(demo_server.join_link())
    phone.press(row(phone, "QF-107"))
    expect(phone.page.locator("main.work")).to_be_visible()
    blade = phone.page.url.rsplit("/", 1)[1]
    sides = {}
    for hand in ("right", "left"):
        phone.open("settings")
        pick(phone, "hand", hand)
        phone.open(f"blade/{blade}")
        expect(phone.page.locator("main.work")).to_be_visible()
        undo = middle_x(phone.page.locator(".small-row button").last)
        phone.page.set_viewport_size({"width": 844, "height": 390})
        sides[hand] = (undo > 195, middle_x(phone.primary()) > 422)
        phone.page.set_viewport_size({"width": 390, "height": 844})
    assert sides == {"right": (True, True), "left": (False, False)}


def middle_x(one: Locator) -> float:
    box = one.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2


def test_night_is_dark_and_day_is_light(demo_server: RunningServer, new_phone: Callable[..., Phone]) -> None:
    phone = new_phone(demo_server)
    phone.open("settings")
    grounds = {}
    for theme in ("night", "day"):
        pick(phone, "theme", theme)
        grounds[theme] = phone.page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert grounds == {"night": "rgb(11, 15, 20)", "day": "rgb(255, 255, 255)"}
