"""What the screens say, read from the same files as the phone reads."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).resolve().parents[2] / "backend" / "temperward" / "engine" / "data" / "words" / "en"


@cache
def all_words() -> dict[str, object]:
    """Return every key with its text or plural forms."""
    merged: dict[str, object] = {}
    for path in sorted(FOLDER.glob("*.json")):
        merged.update(json.loads(path.read_text("utf-8")))
    return merged


def say(key: str, **facts: object) -> str:
    """Return the text under a key with its facts filled in."""
    text = all_words()[key]
    if isinstance(text, dict):
        text = text["one" if facts.get("n") == 1 else "other"]
    return re.sub(r"\{(\w+)\}", lambda found: str(facts[found[1]]), str(text))
