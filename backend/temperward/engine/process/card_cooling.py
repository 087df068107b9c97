"""Transfer, bath hold, lift, warm window and waits of one card."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_baths import BathRange
from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_steel import Metal
from temperward.engine.process.card_work import Cycle
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import banded, note
from temperward.engine.thermal.bath_hold import bath_hold
from temperward.engine.thermal.bath_hold import lift_c as lift_for_ms
from temperward.engine.thermal.still_air import cycle_cooling_s, transfer_limit_s, warm_cooling_s
from temperward.engine.thermal.windows import window_answer, window_of

THICKEST_HOLD_MM = 12.0  # the conduction model's range; a thicker bolster stays in to hand-warm
STILL_AIR_START_C = 320.0  # the still-air model's upper end


def lift_of(plan: Plan, *, metal: Metal, ms: dict[str, Any]) -> float | None:
    """Return the temperature at which the blade leaves the last oil; nothing where it is not lifted warm."""
    if plan.in_water or plan.zone_kind == "edge" or not plan.in_oil:
        return None
    if plan.dips[0].event == "hand_warm":
        return None
    if not metal.known:
        return float(value_of("unknown_lift_c"))
    return lift_for_ms(ms["value"])


def bath_hold_of(
    plan: Plan, *, metal: Metal, thickest_mm: float, ranges: list[BathRange], lift_c: float | None
) -> dict[str, Any] | None:
    """Return the seconds in the oil to the lift temperature at the thickest hardening place."""
    if lift_c is None or thickest_mm > THICKEST_HOLD_MM or plan.dips[0].kind != "oil":
        return None
    return bath_hold(
        plan.dips[0].medium,
        thickness_mm=thickest_mm,
        from_c=metal.row["aim_c"],
        bath_c=ranges[0].aim_c,
        to_c=lift_c,
    )


def window_of_card(
    plan: Plan, *, metal: Metal, ms: dict[str, Any], lift_c: float | None
) -> dict[str, Any] | None:
    """Return the warm window, or nothing: water, edge quench, plates, unknown steel, or a lift too cold."""
    if lift_c is None or not metal.known or plan.dips[-1].kind == "plates":
        return None
    plain = window_of(ms_c=ms["value"], thickness_mm=plan.thickness_mm, from_c=lift_c)
    if not plain["open"]:
        return None
    answer = window_answer(plain, ms=ms)
    bend = answer["to_10_pct"]
    if bend["value"] > answer["gentle"]["value"]:  # Ms so low that 150 degC comes before 10 % martensite
        bend = answer["gentle"]
    return {
        "to_ms": answer["to_ms"],
        "bend": bend,
        "gentle": answer["gentle"],
        "stiffening_s": bend["low"],
        "closed_c": answer["gentle_end_c"],
        "hand_warm_s": answer["to_hand_warm_s"],
    }


def transfer_of(plan: Plan, *, metal: Metal, edge_mm: float) -> dict[str, Any]:
    """Return the time from heat to bath: the aim, or less where the edge cools sooner; high is the limit."""
    limit_s = transfer_limit_s(edge_mm=edge_mm, from_c=metal.row["aim_c"])
    aim_s = min(float(value_of("transfer_aim_s", shop=plan.shop)), limit_s)
    end = {"edge_mm": edge_mm, "temperature_c": value_of("transfer_edge_c"), "limit_s": limit_s}
    return banded(
        aim_s,
        unit="s",
        low=None,
        high=limit_s,
        sources=["radiation", "quenchHtc"] + sources_of("transfer_aim_s", shop=plan.shop),
        notes=[note("card.note.transfer_limit", end)],
        coverage=None,
    )


def waits(
    *, metal: Metal, thickest_mm: float, lift_c: float | None, cycles: list[Cycle]
) -> tuple[float, float]:
    """Return the seconds to hand-warm after the bath, and from a cycle's heat to cold in still air."""
    start_c = STILL_AIR_START_C if lift_c is None else lift_c
    thickness = min(thickest_mm, THICKEST_HOLD_MM)
    hand_warm_s = warm_cooling_s(thickness_mm=thickness, from_c=start_c, to_c=value_of("into_oven_c"))
    hottest = cycles[0].temperature_c if cycles else metal.row["aim_c"]
    cooling_s = cycle_cooling_s(thickness_mm=thickness, from_c=hottest, to_c=float(value_of("cold_c")))
    return hand_warm_s, cooling_s
