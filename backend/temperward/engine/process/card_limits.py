"""The plain numbers of a card that the fold reads."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_baths import BathRange
from temperward.engine.process.card_steel import hardens_in_air
from temperward.engine.process.card_work import Work
from temperward.engine.process.limit_values import value_of


def brittle(work: Work) -> dict[str, Any]:
    """Return the brittle clock's three stages, and what halved them."""
    shop = work.plan.shop
    part = 2.0 if work.numbers.halved_by else 1.0
    return {
        "reminder_s": value_of("brittle_reminder_s", shop=shop) / part,
        "hurry_s": value_of("brittle_hurry_s", shop=shop) / part,
        "alarm_s": value_of("brittle_alarm_s", shop=shop) / part,
        "halved_by": work.numbers.halved_by,
    }


def window(work: Work) -> dict[str, Any] | None:
    """Return the warm window's seconds, counted from the lift, or nothing."""
    found = work.numbers.window
    if found is None:
        return None
    return {
        "lift_c": found["lifted_c"],
        "ms_c": work.numbers.ms["value"],
        "to_ms_s": found["to_ms"]["value"],
        "bend_s": found["bend"]["value"],
        "stiffening_s": found["stiffening_s"],
        "gentle_s": found["gentle"]["value"],
        "early_s": found["bend"]["low"],
        "late_s": found["bend"]["high"],
        "closed_c": found["closed_c"],
        "nominal_from": "lift",
    }


def soaks(work: Work) -> list[float]:
    """Return the soak of each cycle."""
    return [cycle.soak_s for cycle in work.numbers.cycles]


def of_shop(work: Work) -> dict[str, Any]:
    """Return the limits that a shop may set itself."""
    shop = work.plan.shop
    return {
        "bow_limit_pct": value_of("bow_limit_pct", shop=shop),
        "finished_bow_limit_pct": value_of("finished_bow_limit_pct", shop=shop),
        "edge_off_centre_mm": value_of("edge_off_centre_mm", shop=shop),
        "left_right_mm": value_of("left_right_mm", shop=shop),
        "scratch_grit": value_of("scratch_grit", shop=shop),
        "twist_limit_deg": value_of("twist_limit_deg"),
        "oven_tolerance_k": value_of("oven_tolerance_k", shop=shop),
        "readiness_s": value_of("readiness_s"),
        "oven_reading_s": value_of("oven_reading_s"),
        "temper_cool_c": value_of("temper_cool_c"),
        "temper_reading_s": value_of("temper_reading_s"),
    }


def limits(work: Work, *, baths: list[BathRange]) -> dict[str, Any]:
    """Return everything the fold measures this blade's log against."""
    plan, numbers = work.plan, work.numbers
    found = of_shop(work)
    found["thickest_mm"] = numbers.thickest_mm
    found["edge_need_mm"] = numbers.edge_need["value"]
    found["bath_low_c"] = baths[0].low_c
    found["bath_high_c"] = baths[0].high_c
    found["medium"] = plan.dips[0].medium
    found["flash_c"] = plan.bath.flash_c
    found["flash_margin_k"] = value_of("flash_margin_k")
    found["oil"] = plan.in_oil
    found["oven_kind"] = plan.oven_kind
    found["oven_set_c"] = numbers.tempers[0].temperature_c
    found["oven_peak_c"] = numbers.tempers[-1].temperature_c + value_of("oven_peak_over_k")
    found["cycles"] = len(numbers.cycles)
    found["stress_relief"] = plan.stress_relief
    found["tempers"] = len(numbers.tempers)
    found["temper_c"] = [temper.temperature_c for temper in numbers.tempers]
    found["temper_hold_s"] = [temper.hold_s for temper in numbers.tempers]
    found["temper_tolerance_k"] = value_of("temper_tolerance_k")
    found["target_hrc"] = plan.target_hrc
    found["harden_c"] = work.metal.row["aim_c"]
    found["soak_s"] = work.metal.row["soak_s"]
    found["soak_cycle_s"] = soaks(work)
    found["cycle_c"] = [cycle.temperature_c for cycle in numbers.cycles]
    found["stress_relief_s"] = value_of("stress_relief_s")
    found["hold_s"] = numbers.hold_s
    found["transfer_s"] = numbers.transfer["high"]
    found["transfer_aim_s"] = numbers.transfer["value"]
    found["brittle"] = brittle(work)
    found["window"] = window(work)
    found["hand_warm_s"] = numbers.hand_warm_s
    found["cycle_cooling_s"] = numbers.cooling_s
    found["file_must_not_cut_hrc"] = numbers.file_hrc
    found["air_hardens"] = hardens_in_air(work.metal, plan=plan)
    found["harden_proven"] = numbers.proved
    found["double_edge"] = plan.double_edge
    found["twist"] = plan.double_edge
    found["soft_tang"] = plan.soft_tang
    return found
