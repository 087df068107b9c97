"""The computed values of one card, each from the part of the engine that knows it."""

from __future__ import annotations

from typing import Any

from temperward.engine.metallurgy.dissolved import dissolved_carbon
from temperward.engine.metallurgy.hardness import as_quenched_band, file_that_must_not_cut
from temperward.engine.metallurgy.martensite import martensite_start
from temperward.engine.metallurgy.transformation import magnet_off, still_to_go
from temperward.engine.process.card_baths import BathRange
from temperward.engine.process.card_cooling import cycle_cooling, lift_of, transfer_of, window_of_card
from temperward.engine.process.card_cycles import cycles
from temperward.engine.process.card_dips import (
    Dipped,
    hand_warm_s,
    hold_band,
    hold_warnings,
    lifted_c,
    settled,
    stays_of,
    total_s,
)
from temperward.engine.process.card_edge import bath_rise, bath_volume, edge_need
from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_steel import Metal
from temperward.engine.process.card_tempers import tempers
from temperward.engine.process.card_verdict import YES, verdict_of
from temperward.engine.process.card_work import Numbers, Stay
from temperward.engine.process.limit_values import value_of
from temperward.engine.quantities import note, once


def has_heavy_bolster(plan: Plan) -> bool:
    """Tell whether an integral bolster is so thick that it rules the hold."""
    least: float = value_of("bolster_ratio") * plan.thickness_mm
    return plan.bolster_mm is not None and plan.bolster_mm > least


def in_zone(plan: Plan, *, at_mm: float) -> bool:
    """Tell whether a station lies in the part that is to harden."""
    after = plan.zone_from_mm is None or at_mm >= plan.zone_from_mm
    before = plan.zone_to_mm is None or at_mm <= plan.zone_to_mm
    return after and before


def thickest_mm(plan: Plan) -> float:
    """Return the thickest place that must harden."""
    found = plan.thickness_mm
    for station in plan.stations:
        if in_zone(plan, at_mm=station["at_mm"]):
            found = max(found, station["thickness_mm"])
    if has_heavy_bolster(plan) and plan.bolster_mm is not None:
        found = max(found, plan.bolster_mm)
    return found


def jumps(plan: Plan) -> bool:
    """Tell whether the section jumps by more than the ratio that cracks start from."""
    thicknesses = [plan.thickness_mm] + [station["thickness_mm"] for station in plan.stations]
    return bool(max(thicknesses) > value_of("jump_ratio") * min(thicknesses))


def halved_by(plan: Plan, *, dissolved: dict[str, Any]) -> list[str]:
    """Return why the brittle clock runs at half time; empty when it does not."""
    reasons = [
        ("water", plan.in_water),
        ("dissolved_carbon", dissolved["value"] >= value_of("halving_carbon_pct")),
        ("notch", plan.notch),
        ("bolster", has_heavy_bolster(plan)),
        ("thickness_jump", jumps(plan)),
    ]
    return [name for name, holds in reasons if holds]


def widest(found: list[dict[str, Any]], *, pick: str) -> dict[str, Any]:
    """Return one banded value over all layers: the highest or middle value, the widest band."""
    answer = dict(found[0])
    for other in found[1:]:
        answer["low"] = min(answer["low"], other["low"])
        answer["high"] = max(answer["high"], other["high"])
        answer["sources"] = once(answer["sources"] + other["sources"])
    values = [one["value"] for one in found]
    answer["value"] = max(values) if pick == "highest" else (max(values) + min(values)) / 2.0
    return answer


def over_layers(metal: Metal, *, which: str) -> dict[str, Any]:
    """Return dissolved carbon or Ms over all layers, or over the likely steels of an unknown bar."""
    found = []
    for stock in metal.layers:
        heat_c = metal.row["aim_c"]
        if not metal.known and stock.row is not None:
            heat_c = max(heat_c, stock.row["austenitise_low_c"])
        if which == "dissolved":
            found.append(dissolved_carbon(stock, austenitise_c=heat_c))
        else:
            found.append(martensite_start(stock, austenitise_c=heat_c))
    pick = "highest" if metal.known else "middle"
    answer = widest(found, pick=pick)
    if not metal.known:
        answer["notes"] = [note("card.note.likely_steels")]
    return answer


def as_quenched_of(metal: Metal, *, by_eye: bool) -> dict[str, Any] | None:
    """Return the hardness out of the bath, over all layers; nothing for an unknown bar."""
    if not metal.known:
        return None
    found = [
        as_quenched_band(stock, austenitise_c=metal.row["aim_c"], martensite_fraction=1.0, by_eye=by_eye)
        for stock in metal.layers
    ]
    return widest(found, pick="middle")


def magnet_of(metal: Metal) -> dict[str, Any] | None:
    """Return where the magnet lets go; of two layers the higher, nothing for an unknown bar."""
    if not metal.known:
        return None
    return widest([magnet_off(stock) for stock in metal.layers], pick="highest")


def file_of(metal: Metal) -> float | None:
    """Return the file that must not cut: good steel is no softer for a heat judged by eye."""
    good = as_quenched_of(metal, by_eye=False)
    return None if good is None else file_that_must_not_cut(good)


def edge_of(plan: Plan, *, need: dict[str, Any]) -> float:
    """Return the edge as it is ground, or as it should be."""
    return float(need["value"]) if plan.edge_mm is None else plan.edge_mm


def in_the_baths(
    dipped: Dipped, *, ms: dict[str, Any]
) -> tuple[list[Stay], dict[str, Any] | None, float | None]:
    """Return the stays, the warm window after them, and the lift temperature where a stay goes down to it."""
    plan = dipped.plan
    lift = lift_of(plan, metal=dipped.metal, ms=ms)
    planned = stays_of(dipped, lift_c=lift)
    lifted = None if lift is None else lifted_c(dipped, stays=planned, lift_c=lift)
    window = window_of_card(plan, metal=dipped.metal, ms=ms, lifted_c=lifted)
    stays = settled(planned, has_window=window is not None)
    return stays, window, lift if window is not None or hold_band(stays) is not None else None


def numbers(plan: Plan, *, metal: Metal, ranges: list[BathRange]) -> Numbers:
    """Return every computed value of the card."""
    thickest = thickest_mm(plan)
    dissolved = over_layers(metal, which="dissolved")
    ms = over_layers(metal, which="ms")
    planned = cycles(plan.cycles, metal=metal)
    magnet = magnet_of(metal)
    need = edge_need(plan, metal=metal, cycles=planned)
    dipped = Dipped(plan=plan, metal=metal, ranges=ranges, thickest_mm=thickest)
    stays, window, lift = in_the_baths(dipped, ms=ms)
    verdict, verdict_notes = verdict_of(
        plan, metal=metal, thickest_mm=thickest, edge_mm=edge_of(plan, need=need), ranges=ranges
    )
    planned_tempers, temper_warnings = tempers(plan, metal=metal)
    return Numbers(
        thickest_mm=thickest,
        cycles=planned,
        dissolved=dissolved,
        ms=ms,
        magnet=magnet,
        to_go=None if magnet is None else still_to_go(magnet, austenitise_c=metal.row["aim_c"]),
        as_quenched=as_quenched_of(metal, by_eye=plan.by_eye),
        file_hrc=file_of(metal),
        verdict=verdict,
        verdict_notes=verdict_notes,
        proved=verdict in YES,
        edge_need=need,
        stays=stays,
        hold=hold_band(stays),
        hold_s=total_s(plan, stays=stays),
        hold_warnings=hold_warnings(dipped, stays=stays, ms_c=ms["value"]),
        lift_c=lift,
        window=window,
        transfer=transfer_of(plan, metal=metal, edge_mm=edge_of(plan, need=need)),
        hand_warm_s=hand_warm_s(dipped, stays=stays),
        cooling_s=cycle_cooling(metal=metal, thickest_mm=thickest, cycles=planned),
        bath_rise=bath_rise(plan, metal=metal, ranges=ranges),
        bath_volume=bath_volume(plan, metal=metal, ranges=ranges),
        tempers=planned_tempers,
        temper_warnings=temper_warnings,
        halved_by=halved_by(plan, dissolved=dissolved),
    )
