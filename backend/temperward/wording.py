"""The words of one language: the engine says keys, and here is what they mean, in a person's units.

A placeholder's ending says what its number is: {hold_s}, {temperature_c}, {bow_mm}. The phone renders alike
in pwa/src/ui/words.ts; both are held to tests/common/wording_cases.json.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from decimal import ROUND_HALF_UP, Decimal
from functools import cache, lru_cache
from importlib import resources
from typing import Any

from temperward.engine.quantities import fahrenheit, fahrenheit_interval, thou

LONG_MM = 20  # longer things need no hundredths
MINUTE_S = 60
LONG_S = 120
LONG_MIN = 90
FEW_SECONDS = 10
FEW_MINUTES = 10
TWICE = re.compile(r"(-?[\d.]+) (°C|°F|K|mm|thou|HRC|%|s|min|L)(,? (?:of|to|and|or) )(-?[\d.]+) \2(?!\w)")

Note = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """Who reads: language, units and the zone of the shop's clock."""

    language: str = "en"
    fahrenheit: bool = False
    thou: bool = False
    zone: tzinfo = UTC


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


def render(note: Note, *, reader: Reader | None = None, table: Mapping[str, Any] | None = None) -> str:
    """Return one note as a sentence; a unit that two neighbours share is said once.

    The table is the reader's language unless another is given.

    >>> render({"key": "card.follow.file_bites", "facts": {"temperature_c": 205, "from_s": 1800}})
    'A file bites clean metal twice: oven first, or 205 °C for 30 min or more. Then find the cause.'
    """
    reads = Reader() if reader is None else reader
    key = str(note["key"])
    texts = words(reads.language) if table is None else table
    text = texts.get(key)
    facts = note.get("facts") or {}
    if text is None:
        return key.removeprefix("say:") if key.startswith("say:") else f"[{key}]"
    sentence = text if isinstance(text, str) else text["one" if facts.get("n") == 1 else "other"]
    filled = re.sub(r"\{(\w+)\}", lambda hit: _fact(hit[1], facts.get(hit[1]), reads, texts), sentence)
    return TWICE.sub(r"\1\3\4 \2", filled)


def _fact(name: str, value: Any, reads: Reader, texts: Mapping[str, Any]) -> str:
    if value is None:
        return "?"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (int, float)):
        return ENDINGS.get(name.rpartition("_")[2], _plain_number)(value, reads)
    if isinstance(value, Mapping):
        return render(value, reader=reads, table=texts)
    if isinstance(value, (list, tuple)):
        return ", ".join(_fact(name, one, reads, texts) for one in value)
    return str(value)


def fixed(value: float, decimals: int) -> str:
    """Return a number with that many decimals, halves away from zero; never minus nothing."""
    step = Decimal(1).scaleb(-decimals)
    rounded = Decimal(value).quantize(step, rounding=ROUND_HALF_UP)
    return str(abs(rounded)) if rounded == 0 else str(rounded)


def plain(value: float, decimals: int = 2) -> str:
    """Return a number without zeros at its end."""
    text = fixed(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


def stretch(seconds: float) -> str:
    """Return a stretch of time: seconds up to two minutes, minutes up to an hour and a half, hours beyond.

    >>> [stretch(value) for value in (4.5, 90, 150, 1800, 7200, 9000)]
    ['4.5 s', '90 s', '2 min 30 s', '30 min', '2 h', '2 h 30 min']
    """
    if seconds < LONG_S:
        return f"{plain(seconds, 1 if seconds < FEW_SECONDS else 0)} s"
    minutes = math.floor(seconds / MINUTE_S + 0.5)
    if seconds % MINUTE_S and minutes < FEW_MINUTES:
        return f"{math.floor(seconds / MINUTE_S)} min {plain(seconds % MINUTE_S, 0)} s"
    if minutes < LONG_MIN:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def _plain_number(value: float, _reads: Reader) -> str:
    return plain(value)


def _temperature(value: float, reads: Reader) -> str:
    return f"{fixed(fahrenheit(value), 0)} °F" if reads.fahrenheit else f"{fixed(value, 0)} °C"


def _interval(value: float, reads: Reader) -> str:
    return f"{fixed(fahrenheit_interval(value), 0)} °F" if reads.fahrenheit else f"{fixed(value, 0)} K"


def _length(value: float, reads: Reader) -> str:
    if reads.thou:
        return f"{fixed(thou(value), 1)} thou"
    short = abs(value) < LONG_MM
    return f"{fixed(value, 2 if short else 0 if value == int(value) else 1)} mm"


def _clock_time(at_ms: float, reads: Reader) -> str:
    return f"{datetime.fromtimestamp(at_ms / 1000, tz=reads.zone):%H:%M}"


ENDINGS: dict[str, Callable[[float, Reader], str]] = {
    "c": _temperature,
    "k": _interval,
    "mm": _length,
    "s": lambda value, _: stretch(value),
    "min": lambda value, _: stretch(value * MINUTE_S),
    "ms": _clock_time,
    "hrc": lambda value, _: f"{plain(value, 1)} HRC",
    "pct": lambda value, _: f"{plain(value)} %",
    "l": lambda value, _: f"{plain(value, 1)} L",
}
