"""The bow from heat to heat with its limit and the scatter of the feeler, and the same as a table."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine.process import bows
from temperward.engine.process.picture_tables import column, row
from temperward.engine.process.story import Story
from temperward.engine.process.temper_picture import box, line
from temperward.engine.quantities import note

LEAST = 2  # definition: one reading is no picture of a change
MOST_NAMED = 5  # design: more do not fit by name; then the first and the last are named, the table has all
BELOW = -0.115  # design: where the names of the readings stand, under the line
ROOM = 1.3  # design: the uppermost quarter is left to the name of the limit
MOST_TICKS = 5  # design: as many as stay apart
STEPS_MM = [0.1, 0.2, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0]  # design: round steps
NEARLY = 1e-9  # design: less is rounding


def warp_pictures(story: Story) -> list[dict[str, Any]]:
    """Return the picture of the bows; nothing while there are not two."""
    rows = story.bows
    if len(rows) < LEAST:
        return []
    trend = bows.trend(story)
    grows = trend is not None and trend["flag"]
    next_mm = [trend["next_mm"]] if trend is not None and grows else []
    heights = [one["bow_mm"] for one in rows]
    limit_mm = rows[-1]["limit_mm"]
    top_mm = max([limit_mm, 0.01] + heights + next_mm) * ROOM
    noise_mm = 0.0 if trend is None else trend["noise_mm"]
    return [
        {
            "id": "warp",
            "title": note("history.warp"),
            "lines": background(heights[0], noise_mm=noise_mm, limit_mm=limit_mm, top_mm=top_mm)
            + curve(rows, next_mm=next_mm, top_mm=top_mm),
            "x": [],
            "x_unit": "",
            "y": ticks(top_mm / ROOM, top_mm=top_mm),
            "y_unit": "mm",
            "notes": [note("note.trend_is_a_line")],
            "sources": ["definition", "practice"],
            "table": table_of(rows),
        }
    ]


def background(first_mm: float, *, noise_mm: float, limit_mm: float, top_mm: float) -> list[dict[str, Any]]:
    """Return the scatter around the first reading, the limit, and its name above, where no curve goes."""
    low_y, high_y = max(0.0, first_mm - noise_mm) / top_mm, min(1.0, (first_mm + noise_mm) / top_mm)
    limit_y = limit_mm / top_mm
    named = note("history.limit", {"limit_mm": limit_mm})
    return [
        line("band", box(0.0, 1.0, low_y, high_y)),
        line("mark", [[0.0, limit_y], [1.0, limit_y]]),
        line("mark", [[0.05, 0.93], [0.17, 0.93]], label=named, at=[0.42, 0.9]),
    ]


def curve(rows: list[dict[str, Any]], *, next_mm: list[float], top_mm: float) -> list[dict[str, Any]]:
    """Return the readings, each by its name, and what comes next if they grow."""
    places = len(rows) + len(next_mm)
    across = [0.1 + 0.8 * k / (places - 1) for k in range(places)]
    points = [[across[k], rows[k]["bow_mm"] / top_mm] for k in range(len(rows))]
    found = [line("main", points)]
    for k in range(len(rows)):
        named = places <= MOST_NAMED or k in (0, len(rows) - 1)
        label = rows[k]["after"] if named else None
        found.append(line("dot", [points[k], points[k]], label=label, at=[across[k], BELOW]))
    if next_mm:
        ahead = [across[-1], max(0.0, next_mm[0]) / top_mm]
        found.append(line("next", [points[-1], ahead], label=note("history.next"), at=[across[-1], BELOW]))
    return found


def ticks(largest_mm: float, *, top_mm: float) -> list[list[float]]:
    """Return what stands beside the upright axis: whole millimetres, tenths below one."""
    step = STEPS_MM[-1]
    for smaller in STEPS_MM:
        if largest_mm / smaller <= MOST_TICKS:
            step = smaller
            break
    count = math.floor(largest_mm / step + NEARLY)
    return [[k * step / top_mm, k * step] for k in range(1, count + 1)]


def table_of(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Return the readings as numbers, those over their limit marked."""
    return {
        "columns": [column("after", ""), column("at", "mm"), column("bow", "mm")],
        "rows": [
            row([one["after"], one["at_mm"], one["bow_mm"]], over=one["verdict"] != "within") for one in rows
        ],
    }
