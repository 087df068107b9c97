"""Ready to harden: bath, path and oven, all before the blade goes into the fire."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_baths import BathRange
from temperward.engine.process.card_parts import banded_point, check, limit_point, set_point, step
from temperward.engine.process.card_work import Work
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import note


def bath_points(work: Work, *, baths: list[BathRange]) -> list[dict[str, Any]]:
    """Return the temperature of each bath, and what the blade does to it."""
    shop = work.plan.shop
    points = []
    for k in range(len(baths)):
        bath = baths[k]
        points.append(
            set_point(
                "bath_temperature" if k == 0 else "bath_temperature_" + str(k + 1),
                bath.aim_c,
                unit="degC",
                minus=bath.aim_c - bath.low_c,
                plus=bath.high_c - bath.aim_c,
                sources=bath.sources,
                notes=[note("card.note.sheet_rules"), note("medium." + bath.medium)],
            )
        )
    if work.numbers.bath_rise is not None:
        points.append(banded_point("bath_rise", work.numbers.bath_rise))
    if work.numbers.bath_volume is not None:
        points.append(banded_point("bath_volume", work.numbers.bath_volume))
    if work.plan.in_oil:
        points.append(limit_point("flash_margin", "flash_margin_k", shop=shop))
        points.append(limit_point("tank_cover", "tank_cover_mm", shop=shop))
    return points


def oven_points(work: Work) -> list[dict[str, Any]]:
    """Return the oven's set point for the first temper, and how old its reading may be."""
    shop = work.plan.shop
    first = work.numbers.tempers[0]
    last = work.numbers.tempers[-1]
    notes = [note("card.note.probe_beside_blade")]
    if work.plan.oven_kind == "kitchen":
        notes = [
            note("card.note.kitchen_mean"),
            note("card.note.kitchen_peak", {"peak_c": last.temperature_c + value_of("oven_peak_over_k")}),
        ]
    half = value_of("oven_tolerance_k", shop=shop)
    return [
        set_point(
            "oven_temperature",
            first.temperature_c,
            unit="degC",
            minus=half,
            plus=half,
            sources=sources_of("oven_tolerance_k", shop=shop),
            notes=notes,
        ),
        limit_point("ready_for", "readiness_s", shop=shop),
        limit_point("oven_reading_age", "oven_reading_s", shop=shop),
    ]


def checks(work: Work) -> list[dict[str, Any]]:
    """Return what is walked, measured and ticked."""
    plan = work.plan
    found = [check("oven_temperature", "oven_reading"), check("bath_temperature", "bath_reading")]
    if plan.in_oil:
        found.append(check("bath_ready", "lid_and_extinguisher"))
        found.append(check("flash_point", "flash_known"))
    found.append(check("bath_ready", "path_walked"))
    if plan.zone_kind == "edge":
        found.append(check("bath_ready", "trough_depth", {"cover_mm": value_of("edge_dip_cover_mm")}))
    else:
        found.append(check("bath_ready", "tank_covers", {"cover_mm": value_of("tank_cover_mm")}))
    if plan.length_mm >= value_of("long_blade_mm") or plan.double_edge:
        found.append(check("bath_ready", "tank_length", {"length_mm": plan.length_mm}))
        found.append(check(None, "two_people"))
    else:
        found.append(check(None, "person_told"))
    if plan.in_water and plan.in_oil:
        found.append(check(None, "tanks_apart"))
    if plan.oven_kind == "kitchen":
        found.append(check("oven_temperature", "oven_shield"))
    if plan.clay:
        found.append(check(None, "clay_dry"))
    return found


def ready_to_harden(work: Work, *, baths: list[BathRange]) -> dict[str, Any]:
    """Return the step."""
    cautions = []
    if work.plan.in_oil:
        cautions = ["water_in_oil", "flash_margin", "no_water_on_oil", "tank_stands"]
    if work.plan.length_mm >= value_of("long_blade_mm") or work.plan.double_edge:
        cautions.append("second_person")
    return step(
        "ready-to-harden",
        kind="ready_to_harden",
        states=["ready_to_harden"],
        title=note("card.title.ready_to_harden"),
        set_points=bath_points(work, baths=baths) + oven_points(work),
        checks=checks(work),
        hazards=["FIRE"] if work.plan.in_oil else [],
        cautions=cautions,
        why=note("card.why.ready_to_harden"),
        follow_ups=[note("card.follow.bath_cold"), note("card.follow.oven_not_ready")],
    )
