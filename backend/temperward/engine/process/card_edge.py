"""How thick the edge must stay for the heats that are planned, and what the blade does to its bath."""

from __future__ import annotations

from typing import Any

from temperward.engine.metallurgy.decarb import CLEAN_UP_MM, FINAL_EDGE_MM, SCALE_MM, decarb_depth_mm
from temperward.engine.metallurgy.decarb import edge_need as edge_for_heats
from temperward.engine.process.card_baths import BathRange, sheet_place
from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_steel import Metal
from temperward.engine.process.card_work import Cycle
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import banded, note
from temperward.engine.thermal.bath import RULE_L_PER_KG, STEEL_KG_MM3, bath_rise_k, litres_for_rise

NEARLY_MM = 1e-9  # design: less is rounding


def planned_heats(metal: Metal, *, cycles: list[Cycle]) -> list[list[float]]:
    """Return all planned heats as [temperature_c, hold_s], the hardening heat last."""
    heats = [[cycle.temperature_c, float(cycle.soak_s)] for cycle in cycles]
    heats.append([float(metal.row["aim_c"]), float(metal.row["soak_s"])])
    return heats


def edge_need(plan: Plan, *, metal: Metal, cycles: list[Cycle]) -> dict[str, Any]:
    """Return the edge to leave before the heats; water and clay need more whatever the heats take."""
    return need_for(planned_heats(metal, cycles=cycles), in_water=plan.in_water, clay=plan.clay)


def need_for(heats: list[list[float]], *, in_water: bool, clay: bool) -> dict[str, Any]:
    """Return the edge to leave for these heats."""
    found = edge_for_heats(heats, medium_kind="water" if in_water else "oil")
    least = value_of("clay_edge_mm")
    if clay and found["value"] < least:
        found["value"], found["low"], found["high"] = least, least, value_of("clay_edge_high_mm")
        found["sources"] = sources_of("clay_edge_mm")
    found["notes"] = found["notes"] + [note("card.note.edge_by_heats")]
    return found


def with_warp_mm(need_mm: float, *, clay: bool) -> float:
    """Return the edge to leave where the blade may warp and is ground true after."""
    found = float(need_mm + value_of("edge_extra_mm"))
    return max(found, float(value_of("clay_edge_high_mm"))) if clay else found


def edge_parts(heats: list[list[float]], *, need_mm: float, clay: bool) -> list[tuple[str, float]]:
    """Return what the edge is left thick for, part by part in mm; the last is the warp, beyond the need."""
    parts = [
        ("final", FINAL_EDGE_MM),
        ("decarb", 2.0 * decarb_depth_mm(heats)),
        ("scale", 2.0 * SCALE_MM),
        ("clean_up", 2.0 * CLEAN_UP_MM),
    ]
    rest_mm = need_mm - sum([part[1] for part in parts])
    if rest_mm > NEARLY_MM:
        parts.append(("least", rest_mm))
    parts.append(("warp", with_warp_mm(need_mm, clay=clay) - need_mm))
    return parts


def steel_kg(plan: Plan) -> float | None:
    """Return the blade's weight from its section, or nothing when its width is not given."""
    if plan.width_mm is None:
        return None
    box_mm3 = plan.length_mm * plan.width_mm * plan.thickness_mm
    return float(box_mm3 * value_of("shape_factor") * STEEL_KG_MM3)


def bath_rise(plan: Plan, *, metal: Metal, ranges: list[BathRange]) -> dict[str, Any] | None:
    """Return how far this blade warms its first bath, where its weight and that bath's volume are known."""
    weight = steel_kg(plan)
    if weight is None or plan.bath.litres is None or plan.dips[0].kind == "plates" or sheet_place(plan) != 0:
        return None
    rise = bath_rise_k(
        steel_kg=weight,
        steel_c=metal.row["aim_c"],
        bath_c=ranges[0].aim_c,
        litres=plan.bath.litres,
        kind=plan.dips[0].kind,
    )
    return banded(
        rise,
        unit="K",
        low=rise * 0.9,
        high=rise * 1.1,
        sources=["oneToOneRule", "oilDensity"] + sources_of("shape_factor"),
        coverage=None,
    )


def bath_volume(plan: Plan, *, metal: Metal, ranges: list[BathRange]) -> dict[str, Any] | None:
    """Return the volume that keeps the rise of one blade small, where its weight is known.

    The rule of thumb stands beside that of an oil: it is of oil alone.
    """
    weight = steel_kg(plan)
    if weight is None or plan.dips[0].kind == "plates":
        return None
    rise, kind = value_of("tank_rise_k"), plan.dips[0].kind
    litres = litres_for_rise(
        steel_kg=weight,
        steel_c=metal.row["aim_c"],
        end_c=ranges[0].aim_c + rise / 2.0,
        rise_k=rise,
        kind=kind,
    )
    return banded(
        litres,
        unit="l",
        low=None,
        high=None,
        sources=["oneToOneRule", "oilDensity", "design"],
        notes=[note("card.note.bath_by_rule", {"rule_l": RULE_L_PER_KG * weight})] if kind == "oil" else [],
        coverage=None,
    )
