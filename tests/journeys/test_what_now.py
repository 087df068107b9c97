"""What now? Every finding's card with no network, the first line short, two presses away from the blade."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from common.running_server import RunningServer
from demo_phone import demo_phone
from phone import Phone
from playwright.sync_api import Browser, expect
from words import say

from temperward.engine import api

FINDINGS = [card["id"] for card in api.ask("findings", {})["answer"]]
PLACES = ("do_now", "do_not", "then")
MOST_WORDS = 8  # of the first line, SCREENS.md 4.2
ON_SCREEN = "() => [...document.querySelectorAll('.now-card > p')].slice(0, 3).map((one) => one.innerText)"

# Press the row whose first line is this; a mark that it is open on the blade may stand below.
PRESS_ROW = """title => {
  const rows = [...document.querySelectorAll("button.row-button")];
  const row = rows.find((one) => one.innerText.trim().split("\\n")[0] === title);
  row?.click();
  return row !== undefined;
}"""


@pytest.fixture(scope="module")
def phone(chromium: Browser, demo_server: RunningServer) -> Iterator[Phone]:
    """A phone with the demo, in airplane mode since its second start."""
    tags = ("QF-102", "QF-107", "QF-108", "QF-109", "QF-110")
    with demo_phone(chromium, demo_server, *tags, offline=True) as joined:
        joined.page.reload()
        joined.shows(say("app.blades.title"))
        yield joined


def open_blade(phone: Phone, tag: str) -> str:
    phone.open("blades")
    phone.press(phone.page.locator("button.blade-row", has_text=tag))
    expect(phone.page.locator("main.work")).to_be_visible()
    return phone.page.url.rsplit("/", 1)[1]


def test_there_are_thirty_two() -> None:
    assert len(set(FINDINGS)) == 32


@pytest.mark.parametrize("tag", ["QF-107", "QF-108", "QF-109", "QF-110", "QF-102"])
def test_a_card_is_two_presses_from_the_blade(phone: Phone, tag: str) -> None:
    open_blade(phone, tag)
    phone.press(say("app.went_wrong"))
    expect(phone.page.locator("h1")).to_have_text(say("app.what_now.title"))
    phone.press(phone.page.locator("button.row-button", has_text=say("findings.crack_seen.title")))
    phone.shows(say("findings.crack_seen.do_now"))


def test_each_card_opens_offline_and_says_what_to_do_what_not_and_what_then(phone: Phone) -> None:
    blade = open_blade(phone, "QF-109")
    wrong = {}
    for finding in FINDINGS:
        phone.open(f"blade/{blade}/wrong")
        title = say(f"findings.{finding}.title")
        phone.page.wait_for_function(PRESS_ROW, arg=title)
        expect(phone.page.locator("h1")).to_have_text(title)
        said = phone.page.evaluate(ON_SCREEN)
        if said != [say(f"findings.{finding}.{place}") for place in PLACES] or long(said[0]):
            wrong[finding] = said
    assert wrong == {}


def long(line: str) -> bool:
    return len(line.split()) > MOST_WORDS


def test_the_cards_open_without_a_blade_too(phone: Phone) -> None:
    phone.open("what-now")
    rows = phone.page.locator("button.row-button")
    expect(rows).to_have_count(len(FINDINGS))
    phone.press(rows.filter(has_text=say("findings.flare_up.title")))
    phone.shows(say("findings.flare_up.do_now"))
