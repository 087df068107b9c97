"""The torch after the oven: its plan, as a range, and when it was used."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine.process.frozen_limits import plausible
from temperward.engine.process.picture_tables import column, row
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

TORCH_MARKS = ["softening", "softened"]


def torch_tables(story: Story, events: list[Entry]) -> list[dict[str, Any]]:
    """Return what the torch is planned to do, as a range, and when it did."""
    points = [point for step in story.limits.steps for point in _points(step) if point.get("id") == "torch"]
    marks = [entry for entry in events if entry["kind"] == "mark" and entry["body"]["mark"] in TORCH_MARKS]
    rows = []
    for point in points[:1]:
        if all(plausible(point.get(name)) for name in ("value", "minus", "plus")):
            ends = {"low_c": point["value"] - point["minus"], "high_c": point["value"] + point["plus"]}
            rows.append(row([note("history.torch.plan"), note("history.torch.range", ends)], over=False))
    for mark in marks:
        at = note("history.at", {"at_ms": mark["happened_ms"]})
        rows.append(row([note("history.torch." + mark["body"]["mark"]), at], over=False))
    if not marks:
        return []
    return [
        {
            "id": "torch",
            "title": note("history.torch"),
            "columns": [column("what", ""), column("when", "")],
            "rows": rows,
            "notes": [],
            "sources": ["hollomonJaffe1945", "practice"],
        }
    ]


def _points(step: dict[str, Any]) -> list[dict[str, Any]]:
    points = step.get("set_points")
    return [point for point in points if isinstance(point, dict)] if isinstance(points, list) else []
