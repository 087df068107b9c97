"""Every screen in every state: nothing cut off, large letters and targets, dark nights, axe content."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import gallery
import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Browser, Page

AXE = gallery.ROOT / "pwa" / "node_modules" / "axe-core" / "axe.min.js"
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
MEAN_LIGHT, BRIGHT_SHARE = 0.05, 0.10
# An alarm is meant to be seen: ringing blades and the screens for people are as bright as they need to be.
ALARMS = re.compile("ringing|people")
# On small glass the one action gives up some of its height, so that everything stands there at once.
PRIMARY_PX = {"phone": 120, "wide": 84, "small": 84}
SMALL_PX = 72
# The strip for people is lower on the smallest glass.
STRIP_PX = {"phone": 72, "wide": 72, "small": 56}
# A paper with keys, chips and tiles: half a thumb each, for their misses cost one press of the back key.
PAPER_PX = {"phone": 54, "wide": 40, "small": 42}
GAP_PX = {"phone": 16, "wide": 12, "small": 12}
PAPER_GAP_PX = 6
# The strip for people is one bar of four fields: a wrong one is left by the same press.
STRIP = re.compile("FIRE|CO$|HURT|Back|more$")
# The paper of a coupon is read sitting: on the smallest glass it scrolls, its action stays.
SCROLLS = {("small", "check-coupon"), ("wide", "check-coupon")}
WORKING_SIZES = ("phone", "wide", "small")


@pytest.fixture(scope="module")
def url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with gallery.served(gallery.build(tmp_path_factory.mktemp("gallery"))) as address:
        yield address


@pytest.fixture(scope="module", params=WORKING_SIZES)
def seen(request: pytest.FixtureRequest, chromium: Browser, url: str) -> dict[str, dict[str, Any]]:
    """What every scene shows in one size."""
    found = {"": {"size": request.param}}
    with gallery.gallery_page(chromium, url, request.param) as page:
        for scene in gallery.scene_names(page):
            gallery.show(page, scene, "day")
            found[scene] = gallery.look(page)
    return found


def scenes_of(seen: dict[str, dict[str, Any]]) -> dict[str, dict[str, Any]]:
    return {name: one for name, one in seen.items() if name}


def size_of(seen: dict[str, dict[str, Any]]) -> str:
    return str(seen[""]["size"])


def troubles(pairs: Iterator[tuple[str, list[Any]]]) -> dict[str, list[Any]]:
    return {name: rows for name, rows in pairs if rows}


def is_paper(one: dict[str, Any]) -> bool:
    return "check-screen" in one["kind"]


def test_nothing_is_cut_off(seen: dict[str, dict[str, Any]]) -> None:
    size = size_of(seen)
    kept = ((name, one["cut"]) for name, one in scenes_of(seen).items() if (size, name) not in SCROLLS)
    assert troubles(kept) == {}


def test_no_text_lies_over_another(seen: dict[str, dict[str, Any]]) -> None:
    size = size_of(seen)
    kept = ((name, one["over"]) for name, one in scenes_of(seen).items() if (size, name) not in SCROLLS)
    assert troubles(kept) == {}


def test_working_screens_do_not_scroll(seen: dict[str, dict[str, Any]]) -> None:
    scrolled = {
        name: one["scroll"]
        for name, one in scenes_of(seen).items()
        if one["working"] and one["scroll"] > 1 and (size_of(seen), name) not in SCROLLS
    }
    assert scrolled == {}


def test_letters_are_large_enough(seen: dict[str, dict[str, Any]]) -> None:
    assert troubles((name, one["small"]) for name, one in scenes_of(seen).items()) == {}


def least_px(size: str, one: dict[str, Any], target: dict[str, Any]) -> int:
    if target["primary"]:
        return PRIMARY_PX[size]
    if STRIP.search(target["name"]):
        return STRIP_PX[size]
    return PAPER_PX[size] if is_paper(one) else SMALL_PX


def test_targets_are_large_enough(seen: dict[str, dict[str, Any]]) -> None:
    size = size_of(seen)
    low = (
        (name, [target for target in one["targets"] if target["height"] < least_px(size, one, target)])
        for name, one in scenes_of(seen).items()
        if one["working"]
    )
    assert troubles(low) == {}


def test_targets_stand_apart(seen: dict[str, dict[str, Any]]) -> None:
    size = size_of(seen)

    def near(one: dict[str, Any]) -> list[Any]:
        least = PAPER_GAP_PX if is_paper(one) else GAP_PX[size]
        return [
            gap
            for gap in one["gaps"]
            if gap["px"] < least and not any(STRIP.search(part) for part in gap["names"].split(" / "))
        ]

    kept = (
        (name, near(one))
        for name, one in scenes_of(seen).items()
        if one["working"] and (size, name) not in SCROLLS
    )
    assert troubles(kept) == {}


@pytest.fixture(scope="module", params=WORKING_SIZES)
def page(request: pytest.FixtureRequest, chromium: Browser, url: str) -> Iterator[Page]:
    with gallery.gallery_page(chromium, url, request.param) as opened:
        yield opened


def test_nights_are_dark(page: Page) -> None:
    bright = {}
    for scene in gallery.scene_names(page):
        if ALARMS.search(scene):
            continue
        gallery.show(page, scene, "night")
        if page.locator("main.sit").count():
            continue
        mean, share = gallery.light_of(gallery.picture_of(page))
        if mean > MEAN_LIGHT or share > BRIGHT_SHARE:
            bright[scene] = (round(mean, 3), round(share, 3))
    assert bright == {}


@pytest.mark.parametrize("theme", gallery.THEMES)
def test_axe_finds_nothing_on_any_scene(chromium: Browser, url: str, theme: str) -> None:
    rows = {}
    with gallery.gallery_page(chromium, url, "phone") as page:
        page.evaluate(AXE.read_text("utf-8"))
        for scene in gallery.scene_names(page):
            if theme == "night" and scene.startswith("says-"):
                continue  # the same parts and colours as the hand-made scenes
            gallery.show(page, scene, theme)
            found = page.evaluate("rules => axe.run(document, rules)", RULES)
            bad = [
                f"{one['id']}: {node['html'][:120]}" for one in found["violations"] for node in one["nodes"]
            ]
            if bad:
                rows[scene] = bad
    assert rows == {}


def test_the_measure_of_light_knows_black_white_and_a_half() -> None:
    half = Image.new("RGB", (10, 10), "black")
    half.paste("white", (0, 0, 10, 5))
    assert gallery.light_of(half) == (pytest.approx(0.5), 0.5)
    assert gallery.light_of(Image.new("RGB", (4, 4), "#767676"))[0] == pytest.approx(0.1812, abs=1e-3)


def test_other_eyes_keep_grey_and_have_one_dimension_less() -> None:
    grey = Image.new("RGB", (4, 4), "#808080")
    for eyes, matrix in gallery.EYES.items():
        level = gallery.seen_by(grey, eyes).getpixel((0, 0))
        assert max(abs(one - 0x80) for one in level) <= 1, eyes
        assert abs(np.linalg.det(matrix)) < 0.02, eyes
