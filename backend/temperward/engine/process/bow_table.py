"""The last reading of straightness as numbers: the zone it lies in, per metre, its kink, the twist."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.picture_tables import column, row
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

MM_PER_M = 1000.0  # definition


def bow_tables(story: Story) -> list[dict[str, Any]]:
    """Return the table of the last reading; nothing while there is none."""
    if not story.bows:
        return []
    last = story.bows[-1]
    kink_mm = last["kink_at_mm"]
    twist = story.twist
    # A single bow says nothing of a zone or a kink: only stations do.
    whole = last["stations"] is not None
    unread = note("history.unread")
    cells = [
        last["deviation_mm"] if whole else unread,
        MM_PER_M * last["bow_mm"] / last["length_mm"],
        unread if not whole else note("history.no_kink") if kink_mm is None else kink_mm,
        unread if twist is None else twist["twist_deg"],
    ]
    over = last["verdict"] != "within" or (twist is not None and not twist["within"])
    return [
        {
            "id": "straightness",
            "title": note("history.straightness"),
            "columns": [
                column("zone", "mm"),
                column("per_metre", "mm"),
                column("kink", "mm"),
                column("twist", "deg"),
            ],
            "rows": [row(cells, over=over)],
            "notes": [note("note.zone_is_judged")],
            "sources": ["iso12780", "definition"],
        }
    ] + station_tables(last)


def station_tables(last: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the readings one by one: where, the gap, and how far off the chord that is."""
    stations = last["stations"]
    if stations is None:
        return []
    return [
        {
            "id": "stations",
            "title": note("history.stations"),
            "columns": [column("at", "mm"), column("gap", "mm"), column("off_chord", "mm")],
            "rows": [row([one["at_mm"], one["gap_mm"], one["bow_mm"]], over=False) for one in stations],
            "notes": [],
            "sources": ["definition"],
        }
    ]
