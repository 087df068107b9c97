"""Bevel angles and mass along a blade."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import MissingField, OutOfRange

STEEL_G_MM3 = 7.85e-3  # en1993
LEAST_APART_MM = 0.5  # design: nearer stations are one


def single_edge_deg(*, height_mm: float, spine_mm: float, edge_mm: float) -> float:
    """Angle per side of a flat bevel from spine to edge.

    Equation: atan((spine - edge) / 2 / height). In: mm.
    >>> round(single_edge_deg(height_mm=34.0, spine_mm=5.2, edge_mm=0.6), 2)
    3.87

    Reference: geometry.
    """
    return math.atan((spine_mm - edge_mm) / 2.0 / height_mm) * 180.0 / math.pi


def double_edge_deg(*, width_mm: float, centre_mm: float, edge_mm: float) -> float:
    """Angle per side of a diamond section.

    Equation: atan((centre - edge) / width). In: mm.
    >>> round(double_edge_deg(width_mm=34.0, centre_mm=6.0, edge_mm=0.5), 2)
    9.19

    Reference: geometry.
    """
    return math.atan((centre_mm - edge_mm) / width_mm) * 180.0 / math.pi


def read_sections(facts: dict[str, Any]) -> list[dict[str, float]]:
    """Return the stations with width and thickness, at least one."""
    given = facts.get("stations")
    if not isinstance(given, list) or not given:
        raise MissingField(field="stations", low=1, high=60, reason="refusal.missing")
    if len(given) > 60:
        raise OutOfRange(field="stations", value=len(given), low=1, high=60, reason="refusal.too_many")
    sections = []
    for station in given:
        if not isinstance(station, dict):
            raise MissingField(field="stations.at_mm", unit="mm", reason="refusal.missing")
        facts_module.only(station, ["at_mm", "thickness_mm", "width_mm"])
        sections.append(
            {
                "at_mm": facts_module.number(
                    station, "at_mm", low=0.0, high=3000.0, unit="mm", of="stations"
                ),
                "thickness_mm": facts_module.number(
                    station, "thickness_mm", low=0.3, high=20.0, unit="mm", of="stations"
                ),
                "width_mm": facts_module.number(
                    station, "width_mm", low=2.0, high=200.0, unit="mm", of="stations"
                ),
            }
        )
    placed = sorted(sections, key=place_of)
    for k in range(1, len(placed)):
        if placed[k]["at_mm"] - placed[k - 1]["at_mm"] < LEAST_APART_MM:
            raise OutOfRange(
                field="stations.at_mm",
                value=placed[k]["at_mm"],
                low=placed[k - 1]["at_mm"] + LEAST_APART_MM,
                high=3000.0,
                unit="mm",
                reason="refusal.same_station",
            )
    return placed


def place_of(section: dict[str, float]) -> float:
    """Return the station of a section, for sorting."""
    return section["at_mm"]


def section_mass_g(sections: list[dict[str, float]], *, edge_mm: float) -> float:
    """Mass between the first and last station, straight pieces in between."""
    total = 0.0
    for k in range(1, len(sections)):
        areas = [section_area_mm2(s, edge_mm=edge_mm) for s in sections[k - 1 : k + 1]]
        total += (areas[0] + areas[1]) / 2.0 * (sections[k]["at_mm"] - sections[k - 1]["at_mm"])
    return STEEL_G_MM3 * total


def section_area_mm2(section: dict[str, float], *, edge_mm: float) -> float:
    """Area of one section: both shapes taper straight from the thick place to the edge."""
    edge = min(edge_mm, section["thickness_mm"])
    return section["width_mm"] * (section["thickness_mm"] + edge) / 2.0


def bevels(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `bevels`: angle per side at each station, and the mass of the blade."""
    facts_module.only(facts, ["stations", "edge_mm", "double_edge"])
    sections = read_sections(facts)
    edge_mm = facts_module.number(facts, "edge_mm", low=0.0, high=10.0, unit="mm")
    double_edge = facts_module.flag(facts, "double_edge")
    rows = []
    for section in sections:
        if section["thickness_mm"] <= edge_mm:
            raise OutOfRange(
                field="edge_mm",
                value=edge_mm,
                low=0.0,
                high=section["thickness_mm"],
                unit="mm",
                reason="refusal.edge_over_spine",
            )
        if double_edge:
            angle = double_edge_deg(
                width_mm=section["width_mm"], centre_mm=section["thickness_mm"], edge_mm=edge_mm
            )
        else:
            angle = single_edge_deg(
                height_mm=section["width_mm"], spine_mm=section["thickness_mm"], edge_mm=edge_mm
            )
        rows.append({"at_mm": section["at_mm"], "per_side_deg": angle})
    return {
        "stations": rows,
        "mass_g": section_mass_g(sections, edge_mm=edge_mm),
        "sources": ["geometry", "en1993"],
    }
