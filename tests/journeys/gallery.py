"""Every screen in every state, in four sizes, day and night: pictures, and what can be computed from them.

Run it for the pictures and one contact sheet each in tests/results/gallery:  python tests/journeys/gallery.py [scene ...]
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


# What is wrong with a screen, found in the page: text cut off or lying over other text, small text, small targets.
LOOK = """
() => {
  const main = document.querySelector('main');
  const working = !main.classList.contains('sit');
  const found = { working, kind: main.className, cut: [], over: [], small: [], targets: [], gaps: [], scroll: 0 };
  const root = document.documentElement;
  found.scroll = Math.max(root.scrollHeight - innerHeight, root.scrollWidth - innerWidth, main.scrollHeight - main.clientHeight);
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const pieces = [];
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const text = node.data.trim();
    const holder = node.parentElement;
    if (!text || holder.closest('.unseen, script, style, title, desc, option') || !holder.checkVisibility({ visibilityProperty: true, opacityProperty: true, contentVisibilityAuto: true })) continue;
    const style = getComputedStyle(holder);
    const range = document.createRange();
    range.selectNodeContents(node);
    const svg = holder.closest('svg');
    const scale = svg && holder.getScreenCTM ? holder.getScreenCTM().a : 1;
    const px = parseFloat(style.fontSize) * scale;
    if (px < (working ? 24 : 18) - 0.1) found.small.push(`${text.slice(0, 40)}: ${px.toFixed(1)} px`);
    for (const rect of range.getClientRects()) {
      // The line box is taller than the letters: what counts is from the capital's top to the base line.
      const middle = (rect.top + rect.bottom) / 2;
      const box = { left: rect.left, right: rect.right, top: middle - 0.38 * px, bottom: middle + 0.38 * px };
      let cut = box.left < -1 || box.right > innerWidth + 1 || (working && (box.top < -1 || box.bottom > innerHeight + 1));
      for (let around = holder; around && around !== document.body && !cut; around = around.parentElement) {
        const { overflowX, overflowY } = getComputedStyle(around);
        const frame = around.getBoundingClientRect();
        if (overflowX !== 'visible' && (box.left < frame.left - 1 || box.right > frame.right + 1)) cut = true;
        if (overflowY !== 'visible' && (box.top < frame.top - 1 || box.bottom > frame.bottom + 1)) cut = true;
        if (around.matches('button, .act, .chip') && (box.left < frame.left - 1 || box.right > frame.right + 1 || box.top < frame.top - 1 || box.bottom > frame.bottom + 1)) cut = true;
      }
      if (cut) found.cut.push(`${text.slice(0, 40)}: ${[box.left, box.top, box.right, box.bottom].map(Math.round)}`);
      if (!svg) pieces.push({ text, box });
    }
  }
  if (working) for (let i = 0; i < pieces.length; i += 1) for (let k = i + 1; k < pieces.length; k += 1) {
    const [a, b] = [pieces[i].box, pieces[k].box];
    if (Math.min(a.right, b.right) - Math.max(a.left, b.left) > 2 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 2)
      found.over.push(`${pieces[i].text.slice(0, 30)} / ${pieces[k].text.slice(0, 30)}`);
  }
  const targets = [...document.querySelectorAll('button, a[href], input, select, textarea, summary, [role=button]')]
    .filter(one => one.checkVisibility({ visibilityProperty: true }) && one.getBoundingClientRect().width > 1)
    .map(one => ({ one, name: (one.getAttribute('aria-label') || one.innerText || one.tagName).slice(0, 30), box: one.getBoundingClientRect(), primary: one.matches('[data-primary]') }));
  for (const { name, box, primary } of targets) found.targets.push({ name, primary, width: Math.round(box.width), height: Math.round(box.height) });
  for (let i = 0; i < targets.length; i += 1) for (let k = i + 1; k < targets.length; k += 1) {
    if (targets[i].one.contains(targets[k].one) || targets[k].one.contains(targets[i].one)) continue;
    const [a, b] = [targets[i].box, targets[k].box];
    const gap = Math.max(a.left - b.right, b.left - a.right, a.top - b.bottom, b.top - a.bottom);
    found.gaps.push({ names: `${targets[i].name} / ${targets[k].name}`, px: Math.round(gap) });
  }
  return found;
}
"""


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
            print(f"{folder.relative_to(ROOT)}: {len(pictures)} pictures")


def main() -> None:
    """Build, serve, take the pictures."""
    from conftest import QUIET, chromium_path

    root = hasattr(os, "geteuid") and os.geteuid() == 0
    with served(build(RESULTS / "app")) as url, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium_path(), args=[*QUIET, *(["--no-sandbox"] if root else [])]
        )
        take_all(browser, url, sys.argv[1:])
        browser.close()


if __name__ == "__main__":
    main()
