"""Every screen in every state, four sizes, day and night: pictures, and what can be computed from them.

Pictures and contact sheets go to tests/results/gallery: python tests/journeys/gallery.py [scene ...]
"""

from __future__ import annotations

import io
import os
import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import numpy as np

if __name__ == "__main__":  # as a command; under pytest the path is set
    sys.path.append(str(Path(__file__).resolve().parents[1]))

from conftest import QUIET, chromium_path
from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
RESULTS = ROOT / "tests" / "results" / "gallery"
SIZES = {"phone": (390, 844), "wide": (844, 390), "small": (320, 640), "desk": (1280, 800)}
THEMES = ("day", "night")
SHEET_COLUMNS = 8
SHEET_WIDTH_PX = 240
# WCAG's relative luminance: the linear light of each channel, weighted as the eye does.
WEIGHTS = np.array([0.2126, 0.7152, 0.0722])
BRIGHT = 0.2


def build(into: Path) -> Path:
    """Build the gallery: the app's own screens over hand-made folds."""
    npx = shutil.which("npx", path=f"{Path(sys.executable).parent}:{os.environ['PATH']}")
    assert npx is not None, "the gallery needs Node"
    path = f"{Path(npx).parent}:{os.environ['PATH']}"
    subprocess.run(
        [npx, "vite", "build", "-c", "gallery/vite.config.ts"],
        cwd=ROOT / "pwa",
        env={**os.environ, "PATH": path, "GALLERY_DIR": str(into)},
        check=True,
        capture_output=True,
    )
    return into


class Quiet(SimpleHTTPRequestHandler):
    """Files, without a line on the console for each."""

    def log_message(self, *_: object) -> None:
        """Say nothing."""


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Serve a folder for as long as the block lasts."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(folder)))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/index.html"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


@contextmanager
def gallery_page(browser: Browser, url: str, size: str) -> Iterator[Page]:
    """Open the gallery in one size."""
    width, height = SIZES[size]
    page = browser.new_page(viewport={"width": width, "height": height}, reduced_motion="reduce")
    page.goto(url)
    page.wait_for_function("globalThis.sceneNames !== undefined")
    page.evaluate("document.fonts.ready")
    yield page
    page.close()


def show(page: Page, scene: str, theme: str) -> None:
    """Show one scene and wait until it is painted."""
    page.evaluate("name => { location.hash = name; }", f"{scene}?theme={theme}")
    page.wait_for_function(
        "theme => document.documentElement.dataset.theme === theme && document.querySelector('main')",
        arg=theme,
    )
    page.evaluate("() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")


def scene_names(page: Page) -> list[str]:
    """Return every scene of the gallery."""
    names: list[str] = page.evaluate("sceneNames")
    return names


def light_of(picture: Image.Image) -> tuple[float, float]:
    """Return the mean relative luminance of a picture and the share of its pixels brighter than BRIGHT."""
    levels = np.asarray(picture.convert("RGB"), dtype=np.float64) / 255.0
    linear = np.where(levels <= 0.04045, levels / 12.92, ((levels + 0.055) / 1.055) ** 2.4)
    luminance = linear @ WEIGHTS
    return float(luminance.mean()), float((luminance > BRIGHT).mean())


def picture_of(page: Page, *, whole: bool = False) -> Image.Image:
    """Return what the screen shows."""
    return Image.open(io.BytesIO(page.screenshot(scale="css", full_page=whole)))


LOOK = (Path(__file__).parent / "look.js").read_text("utf-8")


def look(page: Page) -> dict[str, Any]:
    """Return what is cut off, too small or too near on the screen as it stands."""
    found: dict[str, Any] = page.evaluate(LOOK)
    return found


def contact_sheet(pictures: list[Image.Image], *, into: Path) -> None:
    """Write all pictures of one size on one sheet."""
    small = [one.resize((SHEET_WIDTH_PX, round(one.height * SHEET_WIDTH_PX / one.width))) for one in pictures]
    cell = max(one.height for one in small) + 8
    rows = -(-len(small) // SHEET_COLUMNS)
    sheet = Image.new("RGB", (SHEET_COLUMNS * (SHEET_WIDTH_PX + 8), rows * cell), (120, 124, 130))
    for place, one in enumerate(small):
        sheet.paste(one, ((place % SHEET_COLUMNS) * (SHEET_WIDTH_PX + 8), (place // SHEET_COLUMNS) * cell))
    sheet.save(into)


def take_all(browser: Browser, url: str, wanted: list[str]) -> None:
    """Take every picture, then the sheets."""
    for size in SIZES:
        for theme in THEMES:
            folder = RESULTS / f"{size}-{theme}"
            folder.mkdir(parents=True, exist_ok=True)
            pictures = []
            with gallery_page(browser, url, size) as page:
                for scene in wanted or scene_names(page):
                    show(page, scene, theme)
                    pictures.append(picture_of(page))
                    pictures[-1].save(folder / f"{scene}.png")
            contact_sheet(pictures, into=RESULTS / f"{size}-{theme}.png")
            sys.stdout.write(f"{folder.relative_to(ROOT)}: {len(pictures)} pictures\n")


def main() -> None:
    """Build, serve, take the pictures."""
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    with served(build(RESULTS / "app")) as url, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium_path(), args=[*QUIET, *(["--no-sandbox"] if root else [])]
        )
        take_all(browser, url, sys.argv[1:])
        browser.close()


if __name__ == "__main__":
    main()
