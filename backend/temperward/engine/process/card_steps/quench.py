"""The quench: one bath or several in order, and the edge alone where that is the plan."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_parts import (
    banded_point,
    check,
    follow_up,
    limit_point,
    set_point,
    step,
    text_point,
)
from temperward.engine.process.card_work import Stay, Work
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import note


def dip_points(work: Work, *, k: int) -> list[dict[str, Any]]:
    """Return medium and time of one stage."""
    dip = work.plan.dips[k]
    last = k == len(work.plan.dips) - 1
    tail = "" if k == 0 else "_" + str(k + 1)
    found = [text_point("medium" + tail, "medium." + dip.medium, sources=["practice"])]
    point = time_point(work, stay=work.numbers.stays[k])
    point["id"] = point["id"] + tail
    point["label"] = note("card.label." + point["id"])
    found.append(point)
    if not last:
        found.append(limit_point("pause" + tail, "water_pause_s", shop=work.plan.shop, minus=1, plus=1))
    return found


def time_point(work: Work, *, stay: Stay) -> dict[str, Any]:
    """Return how long the blade stays in one bath: as given, a short dip in water, else as computed."""
    if stay.kind == "given":
        return set_point(
            "hold_in_bath", stay.seconds, unit="s", sources=["asGiven"], notes=[note("card.note.as_given")]
        )
    if stay.kind == "dip":
        band = value_of("water_dip_band_s")
        return set_point(
            "hold_in_bath",
            stay.seconds,
            unit="s",
            minus=band,
            plus=band,
            sources=sources_of("water_dip_s"),
        )
    if stay.band is None:
        return text_point("hold_in_bath", "card.text.to_hand_warm", sources=["practice"])
    return banded_point(
        "hold_in_bath",
        stay.band,
        notes=[note("card.note.to_lift", {"lift_c": work.numbers.lift_c})],
    )


def points(work: Work) -> list[dict[str, Any]]:
    """Return transfer, each stage, and the lift."""
    found = [banded_point("transfer", work.numbers.transfer)]
    for k in range(len(work.plan.dips)):
        found = found + dip_points(work, k=k)
    if work.numbers.lift_c is not None:
        found.append(
            set_point(
                "lift_temperature", work.numbers.lift_c, unit="degC", sources=["vanBohemen2012", "design"]
            )
        )
    if work.plan.zone_kind == "edge":
        found.append(limit_point("edge_dip_cover", "edge_dip_cover_mm", shop=work.plan.shop))
    return found


def checks(work: Work) -> list[dict[str, Any]]:
    """Return how the blade goes in and moves."""
    plan = work.plan
    if plan.zone_kind == "edge":
        found = [check(None, "edge_down_level")]
    elif plan.clay:
        found = [check(None, "clay_edge_down")]
    elif plan.double_edge or plan.length_mm >= value_of("long_blade_mm"):
        found = [check(None, "vertical_tip_first")]
    else:
        found = [check(None, "tip_or_spine_first")]
    if plan.zone_kind != "edge":
        found.append(check(None, "whole_zone_under"))
    found.append(check(None, "move_in_plane"))
    if plan.in_water:
        found.append(check("crack", "listen_tink"))
    if plan.clay:
        found.append(
            check(
                "straightness",
                "clay_curve",
                {"low_mm": value_of("clay_curve_low_mm"), "high_mm": value_of("clay_curve_high_mm")},
            )
        )
    if plan.dips[-1].kind == "plates":
        found.append(check(None, "plates_clamped"))
    return found


def quench(work: Work) -> dict[str, Any]:
    """Return the step."""
    plan = work.plan
    cautions = []
    if plan.in_oil:
        cautions = ["blade_under", "no_water_on_oil", "fire_leave"]
    if plan.in_water:
        cautions.append("water_spits")
        if plan.in_oil:
            cautions.append("water_in_oil")
    if plan.zone_kind == "edge":
        cautions.append("interface_flames")
    follow_ups = []
    if plan.in_oil:
        follow_ups = [follow_up("lifted_flaming"), follow_up("flare_up")]
    if plan.in_water:
        follow_ups.append(follow_up("tink"))
    several = len(plan.dips) > 1
    why = (
        "card.why.quench_clay"
        if plan.clay
        else "card.why.quench_water"
        if plan.in_water
        else "card.why.quench"
    )
    return step(
        "quench",
        kind="quench",
        states=["in_quench"],
        title=note("card.title.quench_several" if several else "card.title.quench"),
        set_points=points(work),
        checks=checks(work),
        hazards=["HOT", "FIRE"] if plan.in_oil else ["HOT"],
        cautions=cautions,
        why=note(why),
        follow_ups=follow_ups,
    )
