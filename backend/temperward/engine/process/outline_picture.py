"""The blade from the side, to scale, with its stations: where it is measured and how thick it is there."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_facts import Plan
from temperward.engine.process.picture_tables import column, row
from temperward.engine.quantities import note

LEAST = 2  # definition: one section has no outline
FRAME = 334.0 / 190.0  # definition: the phone's frame is so much wider than high
HIGHEST = 0.6  # design: a wide blade is drawn lower than to scale, or its stations would have no names
NAMED_Y, NAMED_APART = 0.06, 0.2  # design: thicknesses stand over the spine, as many as stay apart
MIDDLE_Y = 0.45  # design: the edge of a straight blade lies this much under the middle of the frame


def outline(plan: Plan) -> list[dict[str, Any]]:
    """Return the picture; nothing where fewer than two sections were given with their width."""
    stations = sorted(
        [one for one in plan.stations if one.get("width_mm") is not None], key=lambda one: one["at_mm"]
    )
    if len(stations) < LEAST:
        return []
    widest_mm = max([one["width_mm"] for one in stations])
    scale = min(FRAME / plan.length_mm, HIGHEST / widest_mm)
    spine = [[one["at_mm"] / plan.length_mm, MIDDLE_Y + one["width_mm"] * scale / 2.0] for one in stations]
    edge = [[one["at_mm"] / plan.length_mm, MIDDLE_Y - one["width_mm"] * scale / 2.0] for one in stations]
    shape = spine + [edge[len(edge) - 1 - k] for k in range(len(edge))] + [spine[0]]
    return [
        {
            "id": "outline",
            "title": note("card.picture.outline", {"n": len(stations), "length_mm": plan.length_mm}),
            "lines": [_line("band", shape), _line("thin", shape)] + _marks(plan, stations, spine, edge),
            "x": [[at / plan.length_mm, at] for at in _told(stations, plan.length_mm)],
            "x_unit": "mm",
            "y": [],
            "y_unit": "",
            "notes": [
                note("card.picture.to_scale" if scale < HIGHEST / widest_mm else "card.picture.flattened")
            ],
            "sources": ["definition"],
            "table": {
                "columns": [column("at", "mm"), column("thickness", "mm"), column("width", "mm")],
                "rows": [
                    row([one["at_mm"], one["thickness_mm"], one["width_mm"]], over=False) for one in stations
                ],
            },
        }
    ]


def _line(
    kind: str,
    points: list[list[float]],
    *,
    label: dict[str, Any] | None = None,
    at: list[float] | None = None,
) -> dict[str, Any]:
    return {"kind": kind, "points": points, "label": label, "at": at}


def _told(stations: list[dict[str, float]], length_mm: float) -> list[float]:
    """Return the stations whose place is written: those that stay apart."""
    told: list[float] = []
    for one in stations:
        if not told or one["at_mm"] - told[-1] >= NAMED_APART * length_mm:
            told.append(one["at_mm"])
    return told


def _marks(
    plan: Plan, stations: list[dict[str, float]], spine: list[list[float]], edge: list[list[float]]
) -> list[dict[str, Any]]:
    """Return a stroke across the blade at each station, its thickness over the spine."""
    told = _told(stations, plan.length_mm)
    found = []
    for k in range(len(stations)):
        one = stations[k]
        named = None
        if one["at_mm"] in told:
            named = note("card.picture.thick", {"thickness_mm": one["thickness_mm"]})
        x = min(0.94, max(0.06, spine[k][0]))
        found.append(_line("mark", [spine[k], edge[k]], label=named, at=[x, spine[k][1] + NAMED_Y]))
    return found
