"""Pictures as phones send them, and as they should not."""

from __future__ import annotations

import io
from typing import Any

from PIL import Image


def noise(width: int = 320, height: int = 240, *, spread: int = 60) -> Image.Image:
    """Return a picture that does not pack well, so that its length is a phone picture's."""
    return Image.effect_noise((width, height), spread).convert("RGB")


def encoded(image: Image.Image, kind: str, **options: Any) -> bytes:
    """Return a picture's bytes."""
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def jpeg(width: int = 320, height: int = 240, **options: Any) -> bytes:
    """Return a plain JPEG."""
    return encoded(noise(width, height), "JPEG", **options)
