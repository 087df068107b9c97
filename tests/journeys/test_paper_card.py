"""The card on paper: A6, every step with a box to tick and a place for the time, no more; typed again."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import gallery
import pytest
from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import Browser, Page, expect
from smith import Smith
from words import say

A6_POINTS = (105 / 25.4 * 72, 148 / 25.4 * 72)


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory, chromium: Browser) -> Iterator[Page]:
    built = gallery.build(tmp_path_factory.mktemp("gallery"))
    with gallery.served(built) as url, gallery.gallery_page(chromium, url, "phone") as opened:
        gallery.show(opened, "card", "night")
        opened.emulate_media(media="print")
        yield opened


def test_the_paper_is_a6(page: Page, tmp_path: Path) -> None:
    paper = page.pdf(path=tmp_path / "card.pdf", prefer_css_page_size=True)
    boxes = re.findall(rb"/MediaBox ?\[0 0 ([\d.]+) ([\d.]+)\]", paper)
    assert boxes
    for width, height in boxes:
        assert (float(width), float(height)) == pytest.approx(A6_POINTS, abs=1.0)


def test_every_step_has_its_box_and_its_place_for_the_time(page: Page) -> None:
    marks = page.locator(".card-step > summary").evaluate_all(
        """steps => steps.map(step => ["::before", "::after"].map(part => {
             const style = getComputedStyle(step, part);
             return style.borderTopStyle === "solid" && parseFloat(style.width) > 10;
           }))"""
    )
    assert marks
    assert marks == [[True, True]] * len(marks)


def test_what_the_steps_hold_is_printed_though_they_are_closed(page: Page) -> None:
    assert page.locator(".card-step[open]").count() == 0
    ticks = page.locator(".card-step .tick")
    assert ticks.count() > 0
    assert all(tick.bounding_box() for tick in ticks.all())


def test_buttons_and_sources_are_not_printed(page: Page) -> None:
    for name in ("button", ".source", ".run"):
        assert all(not one.is_visible() for one in page.locator(name).all())


def test_the_paper_is_black_on_white_at_night_too(page: Page) -> None:
    ink = page.locator(".step-name").first.evaluate("one => getComputedStyle(one).color")
    assert ink == "rgb(0, 0, 0)"


FACTS = {"steel": "1084", "thickness_mm": "4", "edge_mm": "1", "length_mm": "230", "target_hrc": "60"}
# Minutes ago, as they stand on the paper: a blade quenched and once tempered, its phone at home.
WRITTEN = {
    "ground-ready.done": 600,
    "cycle-1.in": 560,
    "cycle-1.out": 545,
    "cycle-2.in": 500,
    "cycle-2.out": 490,
    "cycle-3.in": 450,
    "cycle-3.out": 440,
    "ready-to-harden.done": 400,
    "hardening-heat.in": 395,
    "quench.in": 380,
    "straighten-now.out": 379,
    "temper-1.in": 350,
    "temper-1.at": 325,
    "temper-1.out": 200,
}


def clock_time(at_ms: int) -> str:
    """Return four figures, as written on paper in the shop's zone."""
    return datetime.fromtimestamp(at_ms / 1000, ZoneInfo("Europe/Dublin")).strftime("%H%M")


def retype(phone: Phone, now_ms: int) -> int:
    """Type every written time with the pad, four keys and the next; return how often a thumb came down."""
    pad = phone.page.get_by_role("group", name=say("app.pad.keys"))
    fields = phone.page.locator("main .pair input")
    fields.first.click()
    presses = 1
    for at, minutes in enumerate(WRITTEN.values()):
        expect(fields.nth(at)).to_be_focused()
        for key in clock_time(now_ms - minutes * 60_000):
            pad.get_by_role("button", name=key, exact=True).click()
        pad.get_by_role("button", name=say("app.next"), exact=True).click()
        presses += 5
    return presses


def test_a_paper_card_is_retyped_box_by_box_and_tells_the_same_story(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    smith = Smith(phone)
    smith.begin("QF-151", FACTS, {"heat_source": say("app.choice.forge_thermocouple")})
    phone.open(f"card/{smith.piece_id}")
    phone.press(say("app.paper.title"))
    # The second temper is to come.
    expect(phone.page.locator("main .pair input")).to_have_count(len(WRITTEN) + 3)
    now_ms = phone.now_ms()
    presses = retype(phone, now_ms)
    assert presses <= 90  # one a second is a slow thumb: the story's 90 s
    phone.picture("paper-retyped")
    phone.press(say("app.paper.keep"))
    expect(phone.page.locator("main.work")).to_be_visible()
    marks = {one["body"]["mark"]: one for one in phone.entries_of(smith.piece_id) if one["kind"] == "mark"}
    assert abs(now_ms - 380 * 60_000 - marks["quenched"]["happened_ms"]) < 60_000
    assert (marks["quenched"]["at_source"], marks["quenched"]["plus_minus_s"]) == ("back_dated", 60)
    assert marks["cold"]["at_source"] == "estimated"
    fold = phone.fold_of(smith.piece_id)
    assert (fold["state"]["id"], fold["state"]["temper"]) == ("temper_cooling", 1)
    phone.open(f"blade/{smith.piece_id}/paper")
    expect(phone.page.locator("main .pair input")).to_have_count(3)
