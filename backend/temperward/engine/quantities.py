"""A computed value with its unit, its band and the evidence for both."""

from __future__ import annotations

from typing import Any

ZERO_CELSIUS_K = 273.15  # definition of the degree Celsius (BIPM, SI brochure, 9th edition)


def note(key: str, facts: dict[str, Any] | None = None) -> dict[str, Any]:
    """Return a words key with the facts that fill it."""
    return {"key": key, "facts": {} if facts is None else facts}


def once(names: list[str]) -> list[str]:
    """Return each name once, where it came first.

    >>> once(["astmA255", "practice", "astmA255"])
    ['astmA255', 'practice']
    """
    kept: list[str] = []
    for name in names:
        if name not in kept:
            kept.append(name)
    return kept


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
        "sources": once(sources),
        "notes": [] if notes is None else notes,
    }


def kelvin(temperature_c: float) -> float:
    """Return the absolute temperature in kelvin.

    >>> kelvin(0.0)
    273.15
    """
    return temperature_c + ZERO_CELSIUS_K


def fahrenheit(temperature_c: float) -> float:
    """Return a temperature in degrees Fahrenheit.

    >>> fahrenheit(190.0)
    374.0
    """
    return temperature_c * 9.0 / 5.0 + 32.0


def fahrenheit_interval(interval_k: float) -> float:
    """Return a difference of temperatures in Fahrenheit degrees: never with the 32.

    >>> fahrenheit_interval(10.0)
    18.0
    """
    return interval_k * 9.0 / 5.0


def thou(length_mm: float) -> float:
    """Return a length in thousandths of an inch.

    >>> round(thou(1.0), 1)
    39.4
    """
    return length_mm / 0.0254
