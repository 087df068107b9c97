"""A computed value with its unit, its band and the evidence for both."""

from __future__ import annotations

from typing import Any

ZERO_CELSIUS_K = 273.15  # definition of the degree Celsius (BIPM, SI brochure, 9th edition)


def note(key: str, facts: dict[str, Any] | None = None) -> dict[str, Any]:
    """Return a words key with the facts that fill it."""
    return {"key": key, "facts": {} if facts is None else facts}


def banded(
    value: Any,
    *,
    unit: str,
    low: float | None,
    high: float | None,
    sources: list[str],
    notes: list[dict[str, Any]] | None = None,
    coverage: float | None = 0.9,
) -> dict[str, Any]:
    """Return a value as every answer carries it: low to high holds nine of ten published measurements."""
    return {
        "value": value,
        "unit": unit,
        "low": low,
        "high": high,
        "coverage": coverage,
        "sources": sources,
        "notes": [] if notes is None else notes,
    }


def kelvin(temperature_c: float) -> float:
    """Return the absolute temperature in kelvin.

    >>> kelvin(0.0)
    273.15
    """
    return temperature_c + ZERO_CELSIUS_K
