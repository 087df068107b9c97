"""The picture of one bath under a batch: before the first and after each blade. Drawn in a unit square."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine.quantities import note

ROOM_K = 5.0  # design: what is left above and below the line
MOST_TICKS = 8  # design: what stays apart on a phone's width
TICK_K = 10.0  # design: round figures


def picture_of(bath: dict[str, Any]) -> dict[str, Any] | None:
    """Return the bath's line over the blades and its limit; nothing while no two points are known."""
    heats = heats_of(bath["steps"])
    if len(heats) <= 1:
        return None
    high_c = bath["high_c"]
    seen = heats if high_c is None else heats + [float(high_c)]
    low = math.floor((min(seen) - ROOM_K) / ROOM_K) * ROOM_K
    top = math.ceil((max(seen) + ROOM_K) / ROOM_K) * ROOM_K
    last = len(heats) - 1
    main = [[k / last, (heats[k] - low) / (top - low)] for k in range(len(heats))]
    lines: list[dict[str, Any]] = [{"kind": "main", "points": main, "label": None, "at": [0.0, 0.0]}]
    if high_c is not None:
        y = (high_c - low) / (top - low)
        named = note("batch.picture.limit", {"high_c": high_c})
        lines.append({"kind": "mark", "points": [[0.0, y], [1.0, y]], "label": named, "at": [0.25, y + 0.02]})
    every = max(1, math.ceil(last / MOST_TICKS))
    return {
        "id": "bath " + bath["name"],
        "title": note("batch.picture.bath", {"name": bath["name"]}),
        "notes": [note("batch.picture.no_cooling")],
        "sources": bath["sources"],
        "lines": lines,
        "x": [[k / last, k] for k in range(every, last + 1, every)],
        "x_unit": "",
        "y": ticks_of(low, top),
        "y_unit": "degC",
    }


def ticks_of(low: float, top: float) -> list[list[float]]:
    """Return what stands beside the upright axis: even steps, none at its very top."""
    step = TICK_K * max(1, math.ceil((top - low) / TICK_K / MOST_TICKS))
    ticks = []
    at_c = low
    while at_c < top - ROOM_K:
        ticks.append([(at_c - low) / (top - low), at_c])
        at_c += step
    return ticks


def heats_of(steps: list[dict[str, Any]]) -> list[float]:
    """Return the temperature before the first blade and after each, as far as they are known."""
    heats: list[float] = []
    for step in steps:
        if step["before_c"] is None:
            break
        if not heats:
            heats.append(step["before_c"])
        if step["after_c"] is None:
            break
        heats.append(step["after_c"])
    return heats
