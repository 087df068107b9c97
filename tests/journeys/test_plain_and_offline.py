"""What a browser gives only to some pages, and what stands in for the network when there is none."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from common.chromium import chromium_path, chromium_words
from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import Browser, expect
from words import say

DIST = Path(__file__).resolve().parents[2] / "backend" / "temperward" / "app_dist"
NAME = "forge.test"
ASSET = re.compile(r"assets/([\w-]+\.[\w.]*\w)")
ROUTES = ("blades", "settings", "history", "shop", "new", "join")
# A phone whose browser has push only for an app on the home screen; it notes whether permission is asked.
NOT_INSTALLED = """
delete globalThis.PushManager;
Object.defineProperty(navigator, "standalone", { value: false });
globalThis.asked = 0;
Notification.requestPermission = async () => { globalThis.asked += 1; return "default"; };
"""


@pytest.fixture
def named_browser(chromium: Browser) -> Iterator[Browser]:
    """A browser for which the machine has a name of a workshop's network: to it, plain http is not secure."""
    words = chromium_words(f"--host-resolver-rules=MAP {NAME} 127.0.0.1")
    browser = chromium.browser_type.launch(executable_path=chromium_path(), args=words)
    yield browser
    browser.close()


def test_over_plain_http_the_app_says_what_is_missing_and_still_keeps_a_mark(
    server: RunningServer, named_browser: Browser
) -> None:
    phone = Phone(named_browser, server.base_url.replace("127.0.0.1", NAME))
    phone.page.goto(server.load_demo().replace("127.0.0.1", NAME))
    row = phone.page.locator("button.blade-row", has_text="QF-107")
    expect(row).to_be_visible(timeout=60_000)  # the first start, with nothing kept yet
    phone.press(row)
    expect(phone.page.locator("main.work")).to_be_visible()
    lacks = "[isSecureContext, 'serviceWorker' in navigator, typeof crypto.randomUUID, typeof crypto.subtle]"
    assert phone.page.evaluate(lacks) == [False, False, "undefined", "undefined"]
    piece_id = phone.page.url.rsplit("/", 1)[1]
    before = len(phone.entries_of(piece_id))
    phone.press(say("fold.do.in_oven"))
    phone.reads(say("fold.word.temper", number=1))
    entries = phone.entries_of(piece_id)
    assert len(entries) == before + 1
    assert uuid.UUID(entries[-1]["id"]).version == 7
    phone.open("settings")
    phone.shows(say("app.sync.not_secure"))
    phone.close()
    # The browser itself says that one of our headers means nothing on such a page.
    assert [one for one in phone.troubles if "Cross-Origin-Opener-Policy" not in one] == []


def test_a_phone_that_has_push_only_for_an_installed_app_is_told_so_and_asked_nothing(
    push_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(push_server)
    phone.context.add_init_script(NOT_INSTALLED)
    phone.claim(push_server.claim_code(), "Test Forge")
    phone.open("settings")
    phone.shows(say("app.alarm.push.needs_install"))
    expect(phone.button(say("app.alarm.push_on"))).to_have_count(0)
    assert phone.page.evaluate("globalThis.asked") == 0


def test_every_file_that_the_app_asks_for_is_kept_for_working_offline() -> None:
    """Whatever its size: a large one left out would be missed only where there is no network."""
    worker = (DIST / "sw.js").read_text("utf-8")
    assets = {path.name for path in (DIST / "assets").iterdir() if path.suffix not in (".br", ".gz", ".map")}
    assert any((DIST / "assets" / name).stat().st_size > 200_000 for name in assets)
    assert {name for name in assets if f"assets/{name}" not in worker} == set()
    page = (DIST / "index.html").read_text("utf-8")
    asked = set(re.findall(r'(?:src|href)="/([^"]+)"', page))
    for name in assets:
        if name.endswith((".js", ".css")):
            text = (DIST / "assets" / name).read_text("utf-8")
            asked |= {f"assets/{one}" for one in ASSET.findall(text)}
    assert {name for name in asked if not (DIST / name).exists()} == set()
    assert {name for name in asked if name not in worker} == set()


@pytest.mark.parametrize("route", ROUTES)
def test_every_route_starts_cold_without_a_network(
    demo_server: RunningServer, new_phone: Callable[..., Phone], route: str
) -> None:
    phone = new_phone(demo_server)
    phone.join(demo_server.join_link())
    phone.offline()
    phone.page.goto("about:blank")
    phone.open(route)
    expect(phone.page.locator("#app")).not_to_be_empty()
    expect(phone.page.get_by_role("heading").first).to_be_visible()


def test_a_link_to_the_servers_own_pages_is_not_answered_with_the_app(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    """With the worker in charge of the page that asks."""
    phone = new_phone(demo_server)
    phone.join(demo_server.join_link())
    for path, status, sign in (
        ("/healthz", 200, '"ok"'),
        ("/api/docs", 200, "/api/sync"),
        ("/api/nothing", 404, "not_here"),
    ):
        answer = phone.page.goto(demo_server.base_url + path)
        assert answer is not None
        assert answer.status == status
        assert sign in phone.page.content()
        assert phone.page.locator("#app").count() == 0
        phone.open("blades")
    photo = phone.page.evaluate("fetch('/api/photos/' + 'ab'.repeat(32)).then((one) => one.text())")
    assert json.loads(photo)["message"] == "not_here"
