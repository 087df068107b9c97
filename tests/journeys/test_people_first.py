"""People first: one press from any screen, and then nothing else is on it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import expect
from words import say

HOLD_S = 1.0  # all clear wants 0.8 s


@pytest.mark.parametrize("kind", ["fire", "co", "hurt"])
@pytest.mark.parametrize("route", ["blades", "new", "settings", "what-now"])
def test_one_press_shows_only_what_to_do_for_people(
    demo_server: RunningServer, new_phone: Callable[..., Phone], kind: str, route: str
) -> None:
    phone = new_phone(demo_server)
    phone.open(route)
    phone.press(say(f"app.people.{kind}"))
    expect(phone.page.locator("h1")).to_have_text(say(f"app.people.{kind}"))
    phone.shows(say(f"app.people.{kind}.1"))
    assert phone.page.get_by_role("button").all_inner_texts() == [say("app.people.all_clear")]
    phone.press(say("app.people.all_clear"))
    expect(phone.page.locator("h1")).to_have_text(say(f"app.people.{kind}"))  # a tap is not a hold
    phone.press(say("app.people.all_clear"), hold_s=HOLD_S)
    expect(phone.page.locator("h1")).not_to_have_text(say(f"app.people.{kind}"))


def test_fire_silences_the_brittle_alarm_and_survives_a_killed_page(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.join(server.load_demo())
    expect(phone.page.locator(".notice.ring")).to_be_visible()
    phone.press(say("app.people.fire"))
    expect(phone.page.locator(".notice.ring")).to_have_count(0)
    phone.kill_and_reopen()
    expect(phone.page.locator("h1")).to_have_text(say("app.people.fire"))
