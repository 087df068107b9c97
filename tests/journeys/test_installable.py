"""What a browser asks of an app before it offers to install it, read from the app as it is served."""

from __future__ import annotations

import io
import json
import urllib.request
from collections.abc import Callable
from typing import Any

from common.running_server import RunningServer
from phone import Phone
from PIL import Image

SIZES = {"192x192", "512x512"}
# Web Application Manifest: what is inside a circle of 40 % of the width is never cut off a maskable icon.
SAFE_SHARE = 0.4


def fetched(server: RunningServer, path: str) -> bytes:
    with urllib.request.urlopen(server.base_url + path, timeout=10) as answer:  # noqa: S310 - our own server
        return bytes(answer.read())


def test_the_manifest_of_the_built_app_is_whole(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    phone.open("blades")
    path = phone.page.locator("link[rel=manifest]").get_attribute("href")
    assert path is not None
    manifest: dict[str, Any] = json.loads(fetched(demo_server, path))
    assert manifest["name"] == manifest["short_name"] == "Temperward"
    assert (manifest["id"], manifest["start_url"], manifest["scope"]) == ("/", "/", "/")
    assert manifest["display"] == "standalone"
    assert manifest["orientation"] == "any"
    pictures = [one for one in manifest["icons"] if one["type"] == "image/png"]
    assert {one["sizes"] for one in pictures if one.get("purpose", "any") == "any"} >= SIZES
    assert any("maskable" in one.get("purpose", "") for one in pictures)
    for one in pictures:
        icon = Image.open(io.BytesIO(fetched(demo_server, one["src"])))
        assert f"{icon.width}x{icon.height}" == one["sizes"]
        if "maskable" in one.get("purpose", ""):
            assert whole_when_cut_round(icon)


def whole_when_cut_round(icon: Image.Image) -> bool:
    """Say whether the ground goes to every corner and nothing but ground lies outside the safe circle."""
    picture = icon.convert("RGBA")
    ground = picture.getpixel((0, 0))
    assert isinstance(ground, tuple)
    middle, reach = picture.width / 2, picture.width * SAFE_SHARE
    outside = {
        picture.getpixel((x, y))
        for x in range(0, picture.width, 8)
        for y in range(0, picture.height, 8)
        if (x - middle) ** 2 + (y - middle) ** 2 > reach**2
    }
    return ground[3] == 255 and outside == {ground}


def test_chromium_has_nothing_against_installing_it(
    demo_server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(demo_server)
    phone.join(demo_server.join_link())
    session = phone.context.new_cdp_session(phone.page)
    read = session.send("Page.getAppManifest")
    assert read["errors"] == []
    against = session.send("Page.getInstallabilityErrors")["installabilityErrors"]
    private = {"in-incognito"}  # every page of a test is a private one
    assert {one["errorId"] for one in against} - private == set()
    session.detach()
