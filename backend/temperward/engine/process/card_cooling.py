"""Transfer, lift, warm window and the wait after a cycle of one card."""

from __future__ import annotations

from typing import Any

from temperward.engine.metallurgy.martensite import martensite_start
from temperward.engine.process.card_dips import THICKEST_HOLD_MM
from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_steel import Metal
from temperward.engine.process.card_work import Cycle
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import banded, note
from temperward.engine.thermal.bath_hold import lift_c as lift_for_ms
from temperward.engine.thermal.still_air import cycle_cooling_s, transfer_limit_s
from temperward.engine.thermal.windows import measured_ms_c, window_answer, window_of


def lift_of(plan: Plan, *, metal: Metal, ms: dict[str, Any]) -> float | None:
    """Return the temperature at which the blade leaves the last oil; nothing where it is not lifted warm."""
    if plan.in_water or plan.zone_kind == "edge" or not plan.in_oil:
        return None
    if any(dip.event == "hand_warm" for dip in plan.dips):
        return None
    if not metal.known:
        return float(value_of("unknown_lift_c"))
    return lift_for_ms(ms["value"])


def window_of_card(
    plan: Plan, *, metal: Metal, ms: dict[str, Any], lifted_c: float | None
) -> dict[str, Any] | None:
    """Return the warm window of a body lifted so warm; none: unknown steel, plates, hand-warm, too cold."""
    if lifted_c is None or not metal.known or plan.dips[-1].kind == "plates":
        return None
    plain = window_of(
        ms_c=ms["value"],
        thickness_mm=plan.thickness_mm,
        from_c=lifted_c,
        ms_high_c=measured_ms_high_c(metal),
    )
    if not plain["open"]:
        return None
    answer = window_answer(plain, ms=ms)
    bend = answer["to_10_pct"]
    return {
        "lifted_c": lifted_c,
        "to_ms": answer["to_ms"],
        "bend": bend,
        "gentle": answer["gentle"],
        "safe_s": answer["to_10_pct_safe_s"],
        "safe_ms_c": measured_ms_high_c(metal),
        "stiffening_s": min(bend["low"], answer["to_10_pct_safe_s"]),
        "closed_c": answer["gentle_end_c"],
    }


def measured_ms_high_c(metal: Metal) -> float | None:
    """Return the highest published measurement of Ms of any layer: the one that leaves the fewest seconds."""
    found = []
    heat_c = metal.row["aim_c"]
    for stock in metal.layers:
        ms_c = martensite_start(stock, austenitise_c=heat_c)["value"]
        measured = measured_ms_c(stock, ms_c=ms_c, austenitise_c=heat_c)
        if measured is not None:
            found.append(measured)
    return max(found) if found else None


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


def cycle_cooling(*, metal: Metal, thickest_mm: float, cycles: list[Cycle]) -> float:
    """Return the seconds in still air from a cycle's heat to cold enough to hold."""
    hottest = cycles[0].temperature_c if cycles else metal.row["aim_c"]
    thickness_mm = min(thickest_mm, THICKEST_HOLD_MM)
    return cycle_cooling_s(thickness_mm=thickness_mm, from_c=hottest, to_c=float(value_of("cold_c")))
