"""Whether this section hardens in this bath: the coupon first, then edge and middle by the nose."""

from __future__ import annotations

from typing import Any

from temperward.engine.metallurgy.kinetics import nose_of
from temperward.engine.process.card_baths import BathRange, coupon_proves
from temperward.engine.process.card_dips import THICKEST_HOLD_MM
from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_steel import Metal
from temperward.engine.quantities import note
from temperward.engine.thermal.hardening import quick_margin, verdict_of_margin

YES = ["hardens", "likely", "edge_only", "proven"]
ORDER = ["hardens", "likely", "doubtful", "no"]
THINNEST_MM = 0.5  # design: the conduction model's lower end: an edge is judged as no thinner


def place_verdict(plan: Plan, *, metal: Metal, thickness_mm: float, bath_c: float) -> str:
    """Return the verdict of one place: of layers the worst."""
    worst = 0
    for stock in metal.layers:
        margin = quick_margin(
            stock,
            thickness_mm=max(THINNEST_MM, min(thickness_mm, THICKEST_HOLD_MM)),
            medium=plan.dips[0].medium,
            bath_c=bath_c,
            austenitise_c=metal.row["aim_c"],
        )
        nose = nose_of(stock, austenitise_c=metal.row["aim_c"])
        worst = max(worst, ORDER.index(verdict_of_margin(margin, nose=nose)))
    return ORDER[worst]


def verdict_of(
    plan: Plan, *, metal: Metal, thickest_mm: float, edge_mm: float, ranges: list[BathRange]
) -> tuple[str, list[dict[str, Any]]]:
    """Return the verdict on the blade, with notes."""
    if coupon_proves(plan, thickest_mm=thickest_mm):
        return "proven", []
    if not metal.known:
        return "coupon_first", []
    edge = place_verdict(plan, metal=metal, thickness_mm=edge_mm, bath_c=ranges[0].aim_c)
    if plan.clay or plan.zone_kind == "edge":  # the back is meant to stay soft: the edge alone is asked
        return edge, [note("card.note.edge_alone")]
    middle = place_verdict(plan, metal=metal, thickness_mm=thickest_mm, bath_c=ranges[0].aim_c)
    if middle not in YES and edge in YES:
        return "edge_only", [note("card.note.spine_softer")]
    return middle, []
