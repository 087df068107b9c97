"""What was read over time: rows of [at_ms, value]."""

from __future__ import annotations

from typing import Any


def in_time(rows: list[list[Any]]) -> list[list[Any]]:
    """Return rows in order of time."""
    return sorted(rows, key=_at_ms)


def each_once(rows: list[list[float]]) -> list[list[float]]:
    """Return rows in order of time, each once: one reading can stand in several logs."""
    found: list[list[float]] = []
    for row in rows:
        if row not in found:
            found.append(row)
    return in_time(found)


def _at_ms(row: list[Any]) -> Any:
    return row[0]
