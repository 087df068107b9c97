"""The picture in the README is what the app shows, taken by this journey."""

from __future__ import annotations

import io
import json
import os
import re
from collections.abc import Callable
from pathlib import Path

from common.running_server import RunningServer
from phone import VIEWPORT, Phone
from PIL import Image
from PIL.PngImagePlugin import PngInfo
from playwright.sync_api import expect
from words import say

PICTURE = Path(__file__).resolve().parents[2] / "backend" / "docs" / "gallery" / "readme.png"
SHOTS = (("blades", False), ("QF-107", True), ("QF-102", False))
GAP_PX = 24
AGAIN = "take it again: TEMPERWARD_TAKE_PICTURES=1 pytest tests/journeys/test_gallery.py"


def shot(phone: Phone, what: str) -> Image.Image:
    phone.open("blades")
    expect(phone.page.locator("button.blade-row", has_text="QF-107")).to_be_visible()
    if what != "blades":
        phone.press(phone.page.locator("button.blade-row", has_text=what))
        expect(phone.page.locator("main.work")).to_be_visible()
    if what == "QF-102":
        phone.open(f"blade/{phone.page.url.rsplit('/', 1)[1]}/straightness")
        phone.shows(say("app.bow.title"))
    quiet = phone.page.locator(".notice.ring button.small")
    for _ in range(4):  # one alarm follows the other
        phone.page.wait_for_timeout(1200)
        if quiet.count():
            phone.press(quiet)
    return Image.open(io.BytesIO(phone.page.screenshot(scale="css")))


def words_on(phone: Phone) -> str:
    """Return what is written on the screen, without its figures: those run on."""
    return re.sub(r"[\d:.+]+", "", " ".join(phone.page.locator("main").inner_text().split()))


def test_the_readme_picture_shows_what_the_app_shows(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    """Its size and its words, which the picture itself carries: a screen that says else makes it old."""
    link = server.load_demo()
    pictures, words = [], []
    for what, dark in SHOTS:
        phone = new_phone(server, dark=dark)
        phone.join(link if not pictures else server.join_link())
        pictures.append(shot(phone, what))
        words.append(words_on(phone))
    width = len(pictures) * VIEWPORT["width"] + (len(pictures) + 1) * GAP_PX
    sheet = Image.new("RGB", (width, VIEWPORT["height"] + 2 * GAP_PX), (120, 124, 130))
    for place, picture in enumerate(pictures):
        sheet.paste(picture, (GAP_PX + place * (VIEWPORT["width"] + GAP_PX), GAP_PX))
    if os.environ.get("TEMPERWARD_TAKE_PICTURES"):
        carried = PngInfo()
        carried.add_text("words", json.dumps(words))
        sheet.quantize(colors=128).save(PICTURE, optimize=True, pnginfo=carried)
    with Image.open(PICTURE) as taken:
        assert taken.size == sheet.size, AGAIN
        assert json.loads(taken.info.get("words", "[]")) == words, AGAIN
