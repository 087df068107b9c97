"""Ground ready: the last look before the first heat."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_edge import with_warp_mm
from temperward.engine.process.card_parts import banded_point, check, limit_point, set_point, step
from temperward.engine.process.card_work import Work
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import note


def edge_points(work: Work) -> list[dict[str, Any]]:
    """Return the edge to leave, without and with an allowance for bow."""
    need = work.numbers.edge_need
    point = banded_point("edge_left", need)
    point["minus"] = value_of("edge_under_mm")
    point["plus"] = value_of("edge_over_mm")
    sources = need["sources"]
    with_bow_mm = with_warp_mm(need["value"], clay=work.plan.clay)
    bowed = set_point("edge_left_with_bow", with_bow_mm, unit="mm", sources=sources + ["practice"])
    return [point, bowed]


def checks(work: Work) -> list[dict[str, Any]]:
    """Return what is measured and looked at before the heat."""
    plan = work.plan
    found = [
        check("edge_thickness", "edge_three_stations"),
        check("edge_off_centre", "edge_on_centre"),
        check("left_right", "left_right"),
        check("scratches", "scratches"),
        check("corners", "corners"),
        check("straightness", "straight_before"),
    ]
    if plan.double_edge:
        found.append(check("twist", "twist_stations", {"count": value_of("twist_stations")}))
    if plan.soft_tang == "kept_out":
        found.append(check(None, "tang_marked"))
    if plan.in_water:
        found.append(check("edge_thickness", "water_edge", {"edge_mm": value_of("water_edge_mm")}))
        found.append(check("corners", "no_notch_in_water"))
    if work.metal.kind == "layers":
        found.append(check("crack", "weld_flaws"))
    if work.metal.row["by_eye"] == "no" and not plan.by_eye:
        found.append(check(None, "anti_scale"))
    return found


def ground_ready(work: Work) -> dict[str, Any]:
    """Return the step."""
    shop = work.plan.shop
    points = edge_points(work)
    points.append(limit_point("edge_off_centre", "edge_off_centre_mm", shop=shop))
    points.append(limit_point("left_right", "left_right_mm", shop=shop))
    points.append(limit_point("scratch_grit", "scratch_grit", shop=shop, notes=[note("card.note.aim_220")]))
    points.append(limit_point("inside_radius", "inside_radius_mm", shop=shop))
    points.append(limit_point("bow", "bow_limit_pct", shop=shop))
    if work.plan.double_edge:
        points.append(
            set_point("twist", value_of("twist_limit_deg"), unit="deg", sources=sources_of("twist_limit_deg"))
        )
    return step(
        "ground-ready",
        kind="ground_ready",
        states=["shaped", "ground_ready"],
        title=note("card.title.ground_ready"),
        set_points=points,
        checks=checks(work),
        cautions=["grinding"],
        why=note("card.why.ground_ready"),
        follow_ups=[],
    )
