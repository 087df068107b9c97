"""axe finds nothing on any screen, day and night; by night all the same screens stand in the gallery too."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from common.running_server import RunningServer
from demo_phone import demo_phone
from phone import VIEWPORT, Phone
from playwright.sync_api import Browser, expect
from words import say

AXE = Path(__file__).resolve().parents[2] / "pwa" / "node_modules" / "axe-core" / "axe.min.js"
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
PLAIN = [
    "blades",
    "new",
    "settings",
    "what-now",
    "what-now/flare_up",
    "sources",
    "notices",
    "shop",
    "catch-up",
    "join",
]
OF_A_BLADE = ["", "/more", "/wrong", "/wrong/crack_seen", "/earlier", "/note", "/straightness"]
OF_A_BLADE += [
    f"/check/{name}" for name in ("magnet", "file", "straightness", "oven_temperature", "bath_ready")
]
TAGS = ["QF-102", "QF-103", "QF-104", "QF-105-3", "QF-106", "QF-107", "QF-108", "QF-109", "QF-110"]

EVERY_SCREEN = ["QF-102", "QF-107"]  # of the others the working screen, which is what differs
PICTURED = ["QF-104", "QF-106"]  # fractures side by side on the log, tempers against the plan on the card


@pytest.fixture(scope="module", params=["light", pytest.param("dark", marks=pytest.mark.long)])
def phone(request: pytest.FixtureRequest, chromium: Browser, demo_server: RunningServer) -> Iterator[Phone]:
    """One phone with the demo, in each light; axe comes in past the content policy, through the protocol."""
    with demo_phone(chromium, demo_server, dark=request.param == "dark") as joined:
        yield joined


def stand_still(phone: Phone) -> None:
    """Make the window as high as the screen; a card or log grows once more when its rows have been worded."""
    height = 0
    for _ in range(20):
        tall = max(VIEWPORT["height"], phone.page.evaluate("document.documentElement.scrollHeight"))
        if tall == height:
            return
        height = tall
        phone.page.set_viewport_size({"width": VIEWPORT["width"], "height": height})
        phone.page.wait_for_timeout(400)


def trouble(phone: Phone) -> list[str]:
    """Return what axe finds on the whole screen: a row half under the foot can be scrolled."""
    stand_still(phone)
    phone.page.evaluate(AXE.read_text("utf-8"))
    found: dict[str, Any] = phone.page.evaluate("rules => axe.run(document, rules)", RULES)
    phone.page.set_viewport_size({"width": VIEWPORT["width"], "height": VIEWPORT["height"]})
    return [
        f"{one['id']}: {node['html'][:160]} {node['failureSummary']}"
        for one in found["violations"]
        for node in one["nodes"]
    ]


@pytest.mark.parametrize("path", PLAIN)
def test_axe_finds_nothing_on_the_sitting_screens(phone: Phone, path: str) -> None:
    phone.open(path)
    expect(phone.page.locator("h1")).to_be_visible()
    assert trouble(phone) == []


@pytest.mark.parametrize("tag", TAGS)
def test_axe_finds_nothing_on_any_screen_of_a_blade(phone: Phone, tag: str) -> None:
    phone.open("blades")
    phone.press(phone.page.locator("button.blade-row", has_text=tag))
    expect(phone.page.locator("main")).to_be_visible()
    piece_id = phone.page.url.rsplit("/", 1)[1]
    paths = [f"blade/{piece_id}{part}" for part in (OF_A_BLADE if tag in EVERY_SCREEN else [""])]
    paths += [f"card/{piece_id}", f"log/{piece_id}"] if tag in EVERY_SCREEN + PICTURED else []
    found = {}
    for path in paths:
        phone.open(path)
        expect(phone.page.locator("h1").first).to_be_attached()
        found[path] = trouble(phone)
    assert {path: rows for path, rows in found.items() if rows} == {}


@pytest.mark.parametrize("kind", ["fire", "co", "hurt"])
def test_axe_finds_nothing_on_the_screens_for_people(phone: Phone, kind: str) -> None:
    phone.offline()  # these fires stay its own: other tests look at this server's blades
    phone.open("blades")
    phone.press(say(f"app.people.{kind}"))
    expect(phone.page.locator(".people-view h1")).to_have_text(say(f"app.people.{kind}"))
    assert trouble(phone) == []
    phone.press(say("app.people.all_clear"), hold_s=1.0)
