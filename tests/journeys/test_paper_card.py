"""The card on paper: A6, every step with a box to tick and a place for the time, nothing else."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import gallery
import pytest
from playwright.sync_api import Browser, Page

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
