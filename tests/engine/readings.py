"""The published rows that the tests hold the engine against."""

from __future__ import annotations

import csv
import re
from pathlib import Path

from temperward.engine.metallurgy.alloys import Alloy

FOLDER = Path(__file__).parent / "reference"


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of one reference file, each with its own place in "at" (see test_every_row_is_held)."""
    with (FOLDER / (name + ".csv")).open(encoding="utf-8", newline="") as file:
        return [{**row, "at": f"{name}.csv:{line}"} for line, row in enumerate(csv.DictReader(file), start=2)]


def files() -> list[str]:
    """Return the names of all reference files with rows."""
    return sorted(file.stem for file in FOLDER.glob("*.csv"))


def analysis(text: str) -> dict[str, float] | None:
    """Return the elements of a printed composition such as "0.79C 0.76Mn", or nothing."""
    found = re.findall(r"([\d.]+)(C|Mn|Si|Cr|Ni|Mo|V|W)\b", text)
    return {name.lower(): float(value) for value, name in found} or None


def alloy(parts: dict[str, float]) -> Alloy:
    """Return the engine's analysis of printed elements, without its limits."""
    return Alloy(**{name + "_pct": value for name, value in parts.items()})


def hardness(text: str) -> float:
    """Return a printed hardness; of a range the middle."""
    ends = [float(part) for part in text.split("-")]
    return sum(ends) / len(ends)
