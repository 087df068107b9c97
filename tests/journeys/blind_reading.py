"""Working screens as an eye sees them from two metres, numbered at random, with the key in a file apart.

python tests/journeys/blind_reading.py [acuity [seed]] writes them to tests/results/blind_reading; acuity 1 is
20/20, 0.5 is 20/40. Read each picture, write down the state of the blade and what to do next, and only then
look at the key. What came of it is in backend/docs/blind_reading.md.
"""

from __future__ import annotations

import json
import math
import random
import secrets
import sys
from pathlib import Path
from typing import Any

if __name__ == "__main__":  # as a command; under pytest the path is set
    sys.path.append(str(Path(__file__).resolve().parents[1]))

import gallery
import numpy as np
from PIL import Image
from playwright.sync_api import Browser

RESULTS = gallery.ROOT / "tests" / "results" / "blind_reading"
# 20/20 vision tells details of one minute of arc apart (ISO 8596): 0.58 mm at 2 m. A phone's glass is about
# 64 mm wide at 390 CSS px (common practice, no source). Half of that detail is the blur's sigma.
ARCMIN_MM = 2000.0 * math.radians(1 / 60)
PX_PER_MM = 390 / 64
SCENES = (
    "says-ground_ready.fire",
    "says-heat.rising",
    "says-heat.soak",
    "says-heat.soaked-over",
    "says-cooling.wait",
    "says-cold.straight",
    "says-cold.next_heat",
    "says-cold.trend",
    "says-ready.bath_cold",
    "says-ready.lid",
    "says-ready.go",
    "says-fire.magnet",
    "says-fire.too_long",
    "says-fire.against",
    "says-fire.soak",
    "says-fire.go-over",
    "says-quench.going",
    "says-in_quench",
    "says-window.bend",
    "says-window.stiffening",
    "says-brittle.cooling",
    "says-brittle.oven_ready",
    "says-brittle.cracked",
    "says-temper.read",
    "says-temper.hold",
    "says-temper.done-over",
    "says-temper_cold.next",
    "says-tempered",
    "says-people.fire",
    "batch-hard",
    "batch-hot",
    "batch-waiting",
    "batch-all-hard",
)
KEY = """() => {
  const text = (where) => document.querySelector(where)?.innerText ?? '';
  return { word: text('.word'), figure: text('.number'), say: text('.say'),
           next: text('.act[data-primary]') };
}"""


def from_two_metres(picture: Image.Image, *, acuity: float) -> Image.Image:
    """Return a picture without what an eye at two metres cannot tell apart; it is not made larger."""
    sigma_px = 0.5 * ARCMIN_MM * PX_PER_MM / acuity
    reach = np.arange(-round(4 * sigma_px), round(4 * sigma_px) + 1)
    kernel = np.exp(-0.5 * (reach / sigma_px) ** 2)
    light = gallery.linear_of(picture)
    edge = len(reach) // 2
    for axis in (0, 1):
        wide = np.pad(light, [(edge, edge) if axis == at else (0, 0) for at in range(3)], mode="edge")
        shifted = [wide.take(range(at, at + light.shape[axis]), axis=axis) for at in range(len(reach))]
        light = sum(weight * one for weight, one in zip(kernel / kernel.sum(), shifted, strict=True))
    return gallery.picture_from(light)


def take(browser: Browser, url: str, *, seed: int, acuity: float) -> None:
    """Write every picture under a number, in an order that nobody knows, and the key beside them."""
    dice = random.Random(seed)  # noqa: S311 (order, no secret)
    key: list[dict[str, Any]] = []
    for number, scene in enumerate(dice.sample(SCENES, len(SCENES)), start=1):
        size, theme = dice.choice(("phone", "phone", "wide", "small")), dice.choice(gallery.THEMES)
        with gallery.gallery_page(browser, url, size) as page:
            gallery.show(page, scene, theme)
            from_two_metres(gallery.picture_of(page), acuity=acuity).save(RESULTS / f"{number:02}.png")
            key.append({"number": number, "scene": scene, "size": size, "theme": theme, **page.evaluate(KEY)})
    told = {"seed": seed, "acuity": acuity, "screens": key}
    (RESULTS / "key.json").write_text(json.dumps(told, indent=1), "utf-8")


def main() -> None:
    """Build, serve, take the pictures."""
    RESULTS.mkdir(parents=True, exist_ok=True)
    acuity = float(sys.argv[1]) if len(sys.argv) > 1 else 1.0
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else secrets.randbelow(10**6)
    with gallery.opened(RESULTS / "app") as (browser, url):
        take(browser, url, seed=seed, acuity=acuity)
    where = RESULTS.relative_to(gallery.ROOT)
    sys.stdout.write(f"{len(SCENES)} pictures in {where}; do not open key.json yet\n")


if __name__ == "__main__":
    main()
