"""Photos for the demo, drawn by rule: nobody's camera, nobody's place, no metadata."""

from __future__ import annotations

import io
import random
from collections.abc import Callable

from PIL import Image, ImageDraw, ImageFilter

from seed_data.logbook import Picture

SIZE = (960, 720)
Colour = tuple[int, int, int]
Brush = Callable[[ImageDraw.ImageDraw, random.Random], None]

BENCH: Colour = (74, 62, 52)
STEEL: Colour = (146, 150, 154)
SCALE: Colour = (66, 68, 74)


def _photo(draw_on: Brush, *, seed: int, station_mm: float | None = None) -> Picture:
    chance = random.Random(seed)  # noqa: S311 - grain of a drawing, nothing secret
    image = Image.new("RGB", SIZE, BENCH)
    brush = ImageDraw.Draw(image)
    for _ in range(260):
        top = chance.randrange(SIZE[1])
        shade = chance.randint(-9, 9)
        brush.line([(0, top), (SIZE[0], top + chance.randint(-6, 6))], fill=_shaded(BENCH, shade), width=2)
    draw_on(brush, chance)
    buffer = io.BytesIO()
    image.filter(ImageFilter.GaussianBlur(1.2)).save(buffer, "JPEG", quality=82)
    return Picture(data=buffer.getvalue(), width=SIZE[0], height=SIZE[1], station_mm=station_mm)


def _shaded(colour: Colour, by: int) -> Colour:
    red, green, blue = (max(0, min(255, part + by)) for part in colour)
    return red, green, blue


def _ruler(brush: ImageDraw.ImageDraw, top: int) -> None:
    brush.rectangle([60, top, 900, top + 46], fill=(232, 226, 202))
    for tick in range(85):
        left = 60 + tick * 10
        brush.line([(left, top), (left, top + (24 if tick % 10 == 0 else 12))], fill=(30, 30, 30), width=2)


def _grains(
    brush: ImageDraw.ImageDraw, chance: random.Random, *, box: list[int], grain_px: int, base: Colour
) -> None:
    left, top, right, bottom = box
    for _ in range((right - left) * (bottom - top) // (grain_px * grain_px)):
        x, y = chance.randint(left, right), chance.randint(top, bottom)
        size = chance.randint(1, grain_px)
        brush.ellipse([x, y, x + size, y + size], fill=_shaded(base, chance.randint(-34, 40)))


def fracture(*, bright: bool, grain_px: int, seed: int) -> Picture:
    """Return a broken section beside a ruler: bright when it opened cold, grey where it opened hot."""

    def draw_on(brush: ImageDraw.ImageDraw, chance: random.Random) -> None:
        brush.polygon([(300, 170), (660, 150), (620, 520), (470, 560), (340, 520)], fill=SCALE)
        base = (188, 190, 190) if bright else (128, 130, 134)
        _grains(brush, chance, box=[345, 195, 605, 500], grain_px=grain_px, base=base)
        _ruler(brush, 610)

    return _photo(draw_on, seed=seed)


def crack_at_plunge(*, seed: int, station_mm: float) -> Picture:
    """Return a small blade with a dark line running up from the plunge."""

    def draw_on(brush: ImageDraw.ImageDraw, chance: random.Random) -> None:
        brush.polygon([(90, 330), (640, 300), (860, 350), (640, 430), (90, 420)], fill=STEEL)
        brush.rectangle([40, 345, 170, 405], fill=SCALE)
        x, y = 236.0, 424.0
        while y > 330:  # noqa: PLR2004 - just short of the spine, in pixels
            step = (chance.uniform(-5, 7), -chance.uniform(5, 11))
            brush.line([(x, y), (x + step[0], y + step[1])], fill=(18, 16, 16), width=3)
            x, y = x + step[0], y + step[1]
        _ruler(brush, 560)

    return _photo(draw_on, seed=seed, station_mm=station_mm)


def blade_on_pads(*, length_px: int, bow_px: int, seed: int, station_mm: float | None = None) -> Picture:
    """Return a blade seen along its edge against a straightedge on two pads."""

    def draw_on(brush: ImageDraw.ImageDraw, _: random.Random) -> None:
        left = (SIZE[0] - length_px) // 2
        brush.rectangle([left - 20, 250, left + length_px + 20, 290], fill=(176, 178, 182))
        for pad in (left, left + length_px - 30):
            brush.rectangle([pad, 290, pad + 30, 318], fill=(206, 170, 84))
        points = [
            (left + length_px * step / 40, 322 + 4 * bow_px * (step / 40) * (1 - step / 40))
            for step in range(41)
        ]
        brush.line(points, fill=STEEL, width=16, joint="curve")
        _ruler(brush, 520)

    return _photo(draw_on, seed=seed, station_mm=station_mm)


def spine_colours(*, seed: int) -> Picture:
    """Return a blade with its spine drawn to blue and its edge left pale."""
    bands: list[Colour] = [
        (58, 78, 140),
        (88, 66, 130),
        (128, 84, 66),
        (186, 150, 84),
        (198, 184, 140),
        (190, 192, 190),
    ]

    def draw_on(brush: ImageDraw.ImageDraw, _: random.Random) -> None:
        for place, colour in enumerate(bands):
            top = 250 + place * 26
            tip = 880 - place * 30
            brush.polygon([(90, top), (tip, top), (tip - 30, top + 26), (90, top + 26)], fill=colour)
        brush.rectangle([40, 270, 130, 390], fill=SCALE)
        _ruler(brush, 560)

    return _photo(draw_on, seed=seed)
