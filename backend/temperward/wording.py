"""The words of one language: the engine says keys, and here is the one table of what they mean."""

from __future__ import annotations

import json
from functools import cache, lru_cache
from importlib import resources
from typing import Any


def _folder() -> Any:
    return resources.files("temperward.engine") / "data" / "words"


@lru_cache(maxsize=1)
def languages() -> list[str]:
    """Return the languages there are words of."""
    return sorted(one.name for one in _folder().iterdir() if one.is_dir())


@cache
def words(language: str) -> dict[str, Any]:
    """Return every key of one language with its text; a key in two area files is an error."""
    merged: dict[str, Any] = {}
    for file in sorted((_folder() / language).iterdir(), key=lambda one: str(one.name)):
        area = json.loads(file.read_text("utf-8"))
        twice = sorted(merged.keys() & area.keys())
        if twice:
            raise ValueError(f"{file.name} repeats {twice}")
        merged.update(area)
    return merged
