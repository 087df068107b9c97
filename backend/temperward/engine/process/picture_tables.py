"""The tables of a plan: its curves as text, the bevel at each station, and the bath after each blade."""

from __future__ import annotations

from typing import Any

from temperward.engine.interpolate import along
from temperward.engine.process.card_baths import BathRange, sheet_place
from temperward.engine.process.card_cycles import cycles
from temperward.engine.process.card_edge import edge_need, steel_kg
from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_parts import model_note
from temperward.engine.process.card_steel import Metal
from temperward.engine.quantities import note
from temperward.engine.shape.bevels import double_edge_deg, single_edge_deg
from temperward.engine.thermal.bath import bath_after_each_c

JIG_DEG = 0.5  # practice: a station this far off the jig's one angle is ground by hand
MOST_BLADES = 12  # design: lines that one sheet of paper has room for
TOLD_S = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0]  # design: round times, as many lines as are read
TOLD_STEP_C = 50.0  # design: round tempers


def column(name: str, unit: str) -> dict[str, Any]:
    """Return one column: its words and its unit."""
    return {"label": note("card.column." + name), "unit": unit}


def row(cells: list[Any], *, over: bool) -> dict[str, Any]:
    """Return one row of numbers and notes, and whether it is over what it should be."""
    return {"cells": cells, "over": over}


def middle_of(values: list[float]) -> float:
    """Return the median."""
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 == 1 else (ordered[half - 1] + ordered[half]) / 2.0


def bevel_table(plan: Plan, *, metal: Metal) -> list[dict[str, Any]]:
    """Return the angle per side along the blade, and which stations one jig does not fit."""
    stations = [one for one in plan.stations if one.get("width_mm") is not None]
    if len(stations) == 0 and plan.width_mm is not None:
        stations = [{"at_mm": 0.0, "thickness_mm": plan.thickness_mm, "width_mm": plan.width_mm}]
    edge_mm = plan.edge_mm
    if edge_mm is None:
        edge_mm = float(edge_need(plan, metal=metal, cycles=cycles(plan.cycles, metal=metal))["value"])
    angles = [
        [one["at_mm"], one["thickness_mm"], angle_deg(plan, station=one, edge_mm=edge_mm)]
        for one in stations
        if one["thickness_mm"] > edge_mm
    ]
    if len(angles) == 0:
        return []
    jig = middle_of([angle[2] for angle in angles])
    return [
        {
            "id": "bevels",
            "title": note("card.picture.bevels", {"edge_mm": edge_mm}),
            "columns": [
                column("at", "mm"),
                column("thickness", "mm"),
                column("per_side", "deg"),
                column("off_jig", "deg"),
            ],
            "rows": [row(angle + [angle[2] - jig], over=abs(angle[2] - jig) > JIG_DEG) for angle in angles],
            "notes": [note("card.picture.jig", {"jig_deg": jig})],
            "sources": ["geometry", "practice"],
        }
    ]


def angle_deg(plan: Plan, *, station: dict[str, float], edge_mm: float) -> float:
    """Return the angle per side at one station, of a single or a double edge."""
    if plan.double_edge:
        return double_edge_deg(
            width_mm=station["width_mm"], centre_mm=station["thickness_mm"], edge_mm=edge_mm
        )
    return single_edge_deg(height_mm=station["width_mm"], spine_mm=station["thickness_mm"], edge_mm=edge_mm)


def cooling_table(curve: list[list[float]]) -> dict[str, Any]:
    """Return the same cooling as text, at the round seconds that it reaches."""
    skin = [[point[0], point[1]] for point in curve]
    centre = [[point[0], point[2]] for point in curve]
    times = [time_s for time_s in TOLD_S if curve[0][0] <= time_s <= curve[-1][0]]
    return {
        "columns": [column("when", "s"), column("skin", "degC"), column("centre", "degC")],
        "rows": [row([time_s, along(skin, time_s), along(centre, time_s)], over=False) for time_s in times],
    }


def temper_table(points: list[list[Any]]) -> dict[str, Any]:
    """Return the same hardness as text: what is expected, and its band."""
    columns = [
        column("temper", "degC"),
        column("hardness", "HRC"),
        column("low", "HRC"),
        column("high", "HRC"),
    ]
    told = [point for point in points if point[0] % TOLD_STEP_C == 0.0]
    return {
        "columns": columns,
        "rows": [row([heat_c, hrc["value"], hrc["low"], hrc["high"]], over=False) for heat_c, hrc in told],
    }


def bath_table(plan: Plan, *, metal: Metal, ranges: list[BathRange]) -> list[dict[str, Any]]:
    """Return the bath after each such blade until it is over its range, nothing lost to the room."""
    weight = steel_kg(plan)
    if weight is None or plan.bath.litres is None or plan.dips[0].kind == "plates" or sheet_place(plan) != 0:
        return []
    after = bath_after_each_c(
        steel_kg=weight,
        steel_c=metal.row["aim_c"],
        bath_c=ranges[0].aim_c,
        litres=plan.bath.litres,
        blades=MOST_BLADES,
        kind=plan.dips[0].kind,
    )
    rows = []
    for k in range(1, len(after)):
        over = after[k] > ranges[0].high_c
        rows.append(row([float(k), after[k]], over=over))
        if over:
            break
    return [
        {
            "id": "bath",
            "title": note("card.picture.bath", {"litres_l": plan.bath.litres}),
            "columns": [column("blade", ""), column("bath", "degC")],
            "rows": rows,
            "notes": [
                note("card.picture.bath_range", {"high_c": ranges[0].high_c}),
                note("note.no_cooling_between"),
                model_note("bath_rise"),
            ],
            "sources": ["oneToOneRule", "oilDensity"] + ranges[0].sources,
        }
    ]
