"""People first: one press or one key from any screen, and then nothing else is on it and nothing rings."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from common.running_server import RunningServer
from demo_phone import demo_phone
from phone import Phone
from playwright.sync_api import Browser, expect
from words import say

HOLD_S = 1.0  # all clear wants 0.8 s
PLAIN = ["blades", "new", "settings", "shop", "what-now", "batch", "catch-up", "sources"]
OF_A_BLADE = ["blade/{}", "blade/{}/more", "blade/{}/wrong", "blade/{}/wrong/crack_seen", "blade/{}/earlier"]
OF_A_BLADE += ["blade/{}/check/magnet", "blade/{}/check/straightness", "blade/{}/check/oven_temperature"]
OF_A_BLADE += ["blade/{}/note", "blade/{}/straightness", "card/{}", "log/{}"]
HARD, AT_THE_GATE, COOLING = "QF-107", "QF-110", "QF-109"


@pytest.fixture(scope="module")
def phone(chromium: Browser, demo_server: RunningServer) -> Iterator[Phone]:
    """One phone with the demo, its hard blade ringing, and no network: its fires stay its own."""
    with demo_phone(chromium, demo_server, HARD, AT_THE_GATE, COOLING, offline=True) as joined:
        yield joined


def ids_of(phone: Phone) -> dict[str, str]:
    return {
        row["answer"]["tag"]: row["log_id"] for row in phone.stored("folds") if row["log_kind"] == "piece"
    }


def is_all_that_is_shown(phone: Phone, kind: str) -> None:
    """What to do for people, one button, nothing that rings."""
    expect(phone.page.locator("h1")).to_have_text(say(f"app.people.{kind}"))
    phone.shows(say(f"app.people.{kind}.1"))
    assert phone.page.get_by_role("button").all_inner_texts() == [say("app.people.all_clear")]
    expect(phone.page.locator(".notice")).to_have_count(0)


def all_clear(phone: Phone, kind: str) -> None:
    phone.press(say("app.people.all_clear"), hold_s=HOLD_S, settle_s=0.05)
    expect(phone.page.locator("h1").first).not_to_have_text(say(f"app.people.{kind}"))


@pytest.mark.parametrize("route", ["shop", "card/{}", "blade/{}/check/straightness"])
@pytest.mark.parametrize("kind", ["co", "hurt"])
def test_gas_and_hurt_are_one_press_from_a_screen_that_is_read_or_typed_on(
    phone: Phone, kind: str, route: str
) -> None:
    phone.open(route.format(ids_of(phone)[HARD]))
    expect(phone.page.locator("h1").first).to_be_visible()
    phone.press(say(f"app.people.{kind}"), settle_s=0.16)
    is_all_that_is_shown(phone, kind)
    all_clear(phone, kind)


@pytest.mark.parametrize("route", [*PLAIN, *OF_A_BLADE])
def test_fire_is_one_press_from_any_screen_and_silences_all_else(phone: Phone, route: str) -> None:
    phone.open(route.format(ids_of(phone)[HARD]))
    expect(phone.page.locator("h1").first).to_be_visible()
    expect(phone.page.locator(".notice.ring")).to_be_visible()
    for kind in ("co", "hurt"):
        expect(phone.page.locator(f".people-strip .{kind}")).to_be_visible()
    phone.press(say("app.people.fire"), settle_s=0.16)
    is_all_that_is_shown(phone, "fire")
    all_clear(phone, "fire")


@pytest.mark.parametrize("tag", [AT_THE_GATE, COOLING])
@pytest.mark.parametrize("kind", ["co", "hurt"])
def test_gas_and_hurt_are_one_press_from_a_working_screen(phone: Phone, kind: str, tag: str) -> None:
    phone.open(f"blade/{ids_of(phone)[tag]}")
    expect(phone.page.locator("main.work")).to_be_visible()
    phone.press(say(f"app.people.{kind}"))
    is_all_that_is_shown(phone, kind)
    phone.press(say("app.people.all_clear"))
    expect(phone.page.locator("h1")).to_have_text(say(f"app.people.{kind}"))  # a tap is not a hold
    all_clear(phone, kind)


@pytest.mark.parametrize("route", ["blades", "blade/{}", "log/{}", "catch-up"])
def test_the_key_f_is_fire_on_any_screen_and_all_clear_goes_by_keys_too(phone: Phone, route: str) -> None:
    phone.open(route.format(ids_of(phone)[HARD]))
    expect(phone.page.locator("h1").first).to_be_visible()
    phone.page.keyboard.press("f")
    is_all_that_is_shown(phone, "fire")
    phone.page.keyboard.press("Tab")
    phone.page.keyboard.press("Enter")
    expect(phone.page.locator("h1")).to_have_text(say("app.people.fire"))  # asked once more
    phone.page.keyboard.press("Enter")
    expect(phone.page.locator("h1").first).not_to_have_text(say("app.people.fire"))


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
