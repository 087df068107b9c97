"""Every screen in every state, four sizes, day and night: pictures, and what can be computed from them.

python tests/journeys/gallery.py [scene ...] writes pictures and contact sheets to tests/results/gallery,
those of the phone also as colour-blind eyes see them and in grey.
"""

from __future__ import annotations

import io
import json
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

from common.chromium import chromium_path, chromium_words
from engine_scenes import engine_scenes
from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
RESULTS = ROOT / "tests" / "results" / "gallery"
SIZES = {"phone": (390, 844), "wide": (844, 390), "small": (320, 640), "desk": (1280, 800)}
THEMES = ("day", "night")
SHEET_COLUMNS = 6
SHEET_WIDTH_PX = 240
# The dozen in the docs.
KEPT = (
    "says-ground_ready.fire",
    "says-heat.soak",
    "says-cooling.wait",
    "says-cold.trend",
    "says-ready.bath_cold",
    "says-fire.go-over",
    "says-quench.going",
    "says-in_quench",
    "says-window.stiffening",
    "says-brittle.oven_ready",
    "says-temper.hold",
    "batch-waiting",
)
# WCAG's relative luminance: the linear light of each channel, weighted as the eye does.
WEIGHTS = np.array([0.2126, 0.7152, 0.0722])
BRIGHT = 0.2
# Linear RGB as a dichromat sees it: Machado, Oliveira and Fernandes 2009, doi 10.1109/TVCG.2009.113,
# severity 1; grey is the luminance alone.
EYES = {
    "protan": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deutan": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "grey": np.array([WEIGHTS, WEIGHTS, WEIGHTS]),
}


def build(into: Path) -> Path:
    """Build the gallery: the app's own screens over hand-made folds and those of the engine."""
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
    (into / "folds.json").write_text(json.dumps(engine_scenes()), "utf-8")
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


LEVELS = np.arange(256) / 255.0
LINEAR = np.where(LEVELS <= 0.04045, LEVELS / 12.92, ((LEVELS + 0.055) / 1.055) ** 2.4)


def linear_of(picture: Image.Image) -> np.ndarray:
    """Return the linear light of each channel, 0 to 1."""
    found: np.ndarray = LINEAR[np.asarray(picture.convert("RGB"))]
    return found


def picture_from(linear: np.ndarray) -> Image.Image:
    """Return linear light as a picture; what no screen can show is shown as near as it can."""
    light = np.clip(linear, 0.0, 1.0)
    levels = np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)
    return Image.fromarray((levels * 255.0 + 0.5).astype(np.uint8))


def seen_by(picture: Image.Image, eyes: str) -> Image.Image:
    """Return a picture as other eyes see it."""
    return picture_from(linear_of(picture) @ EYES[eyes].T)


def light_of(picture: Image.Image) -> tuple[float, float]:
    """Return the mean relative luminance of a picture and the share of its pixels brighter than BRIGHT."""
    luminance = linear_of(picture) @ WEIGHTS
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


def keep_a_dozen() -> None:
    """Write the sheet of the docs, half by day, half by night."""
    pictures = [
        Image.open(RESULTS / f"phone-{THEMES[place % 2]}" / f"{scene}.png")
        for place, scene in enumerate(KEPT)
    ]
    contact_sheet(pictures, into=RESULTS / "kept.png")
    with Image.open(RESULTS / "kept.png") as sheet:
        sheet.quantize(colors=96).save(ROOT / "backend" / "docs" / "gallery" / "screens.png", optimize=True)


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
            for eyes in EYES if size == "phone" else ():
                seen = [seen_by(one, eyes) for one in pictures]
                contact_sheet(seen, into=RESULTS / f"{size}-{theme}-{eyes}.png")
            sys.stdout.write(f"{folder.relative_to(ROOT)}: {len(pictures)} pictures\n")


@contextmanager
def opened(app: Path) -> Iterator[tuple[Browser, str]]:
    """Build and serve the gallery, and give a browser to look at it with."""
    with served(build(app)) as url, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium_path(), args=chromium_words("--disable-quic")
        )
        yield browser, url
        browser.close()


def main() -> None:
    """Build, serve, take the pictures."""
    with opened(RESULTS / "app") as (browser, url):
        take_all(browser, url, sys.argv[1:])
    if os.environ.get("TEMPERWARD_TAKE_PICTURES"):
        keep_a_dozen()


if __name__ == "__main__":
    main()
