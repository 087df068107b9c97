"""Whether a section hardens in a bath: cooling against the pearlite nose, held to the published limits."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import Refused
from temperward.engine.metallurgy.alloys import Stock, aim_c, stock_of
from temperward.engine.metallurgy.hardenability import (
    EDGE_SHARE,
    MM_PER_INCH,
    ideal_diameter_inch,
    in_solution,
    plate_mm,
)
from temperward.engine.metallurgy.hardness import mixed_hrc
from temperward.engine.metallurgy.kinetics import (
    Nose,
    assumed_multiplier,
    extent_along,
    hard_extent,
    nose_of,
    pearlite_fraction,
    section_limit,
)
from temperward.engine.metallurgy.martensite import martensite_start
from temperward.engine.metallurgy.transformation import refuse_cold_heat
from temperward.engine.quantities import banded, note
from temperward.engine.thermal.bath_hold import bath_hold, cooling_curve, lift_c
from temperward.engine.thermal.media import medium_row
from temperward.engine.thermal.section_run import END_C, run_section

MARGIN_LIKELY = 1.0  # design: the nominal nose is just passed
WATER_CARBON_PCT, ALLOYED_PCT = 0.7, 0.3  # practice: where water cracks


def quick_margin(
    stock: Stock,
    *,
    thickness_mm: float,
    medium: str,
    bath_c: float,
    austenitise_c: float,
) -> float:
    """Return the time margin past the nose at the centre, without the conduction run: for cards.

    Above 1 the centre has nine tenths martensite by the nominal nose; the nose is known to a factor of 2.
    Within 20 % of the full run for blades.
    """
    kind = medium_row(medium)["kind"]
    nose = nose_of(stock, austenitise_c=austenitise_c)
    points = cooling_curve(
        medium,
        thickness_mm=thickness_mm,
        from_c=austenitise_c,
        bath_c=bath_c,
        to_c=END_C,
        multiplier=assumed_multiplier(kind)["value"],
    )
    extent = extent_along(points, column=2, nose=nose)
    margin = hard_extent(nose) / max(extent, 1e-9)
    return margin_under_limit(stock, margin=margin, thickness_mm=thickness_mm, kind=kind)


def margin_under_limit(stock: Stock, *, margin: float, thickness_mm: float, kind: str) -> float:
    """Return the margin, never greener than the published section limit of the steel."""
    limit = section_limit(stock, kind=kind)
    if limit is None:
        return margin
    return min(margin, 2.0 * limit["limit_mm"] / thickness_mm if thickness_mm < limit["limit_mm"] else 0.99)


def verdict_of_margin(margin: float, *, time_factor: float = 2.0) -> str:
    """Return hardens, likely, doubtful or no."""
    if margin >= time_factor:
        return "hardens"
    if margin >= MARGIN_LIKELY:
        return "likely"
    return "doubtful" if margin >= 1.0 / time_factor else "no"


def place_answer(
    place: str, *, run: dict[str, Any], nose: Nose, stock: Stock, thickness_mm: float, kind: str, c_pct: float
) -> dict[str, Any]:
    """Return the verdict of one place: margin, martensite at skin and centre with band, hardness there."""
    margin = hard_extent(nose) / max(run["centre_extent"], 1e-9)
    capped = margin_under_limit(stock, margin=margin, thickness_mm=thickness_mm, kind=kind)
    answer: dict[str, Any] = {
        "place": place,
        "thickness_mm": thickness_mm,
        "margin": capped,
        "verdict": note("verdict." + verdict_of_margin(capped, time_factor=nose.time_factor)),
        "limit_mm": thickness_mm * (capped if capped < 1.0 else math.sqrt(capped)),
        "held_to_published_limit": capped < margin,
    }
    for where in ["skin", "centre"]:
        extent = run[where + "_extent"]
        value = 1.0 - pearlite_fraction(extent, nose=nose)
        low = 1.0 - pearlite_fraction(extent * nose.time_factor, nose=nose)
        high = 1.0 - pearlite_fraction(extent / nose.time_factor, nose=nose)
        answer[where] = {
            "martensite": banded(
                100.0 * value, unit="pct", low=100.0 * low, high=100.0 * high, sources=nose.sources
            ),
            "hrc": banded(
                mixed_hrc(c_pct, martensite_fraction=value),
                unit="HRC",
                low=mixed_hrc(c_pct, martensite_fraction=low) - 1.5,
                high=mixed_hrc(c_pct, martensite_fraction=high) + 1.5,
                sources=["astmA255", "hodgeOrehoski1946"],
            ),
        }
    return answer


def coupon_says(facts: dict[str, Any], *, medium: str, thickness_mm: float) -> dict[str, Any] | None:
    """Return what the shop's own coupon proves here; it outranks the model."""
    coupon = facts.get("coupon")
    if coupon is None:
        return None
    facts_module.only(coupon, ["thickness_mm", "medium", "passed"], field="coupon")
    proven_mm = facts_module.number(coupon, "thickness_mm", low=0.5, high=30.0, unit="mm", of="coupon")
    same = medium_row(str(coupon.get("medium")), field="coupon.medium")["id"] == medium
    passed = facts_module.flag(coupon, "passed")
    verdict = None
    if same and passed and proven_mm >= thickness_mm:
        verdict = "verdict.proven"
    if same and not passed and proven_mm <= thickness_mm:
        verdict = "verdict.disproven"
    proves = "note.coupon_proves" if passed else "note.coupon_disproves"
    return {
        "verdict": None if verdict is None else note(verdict),
        "proves": note(proves, {"coupon_mm": proven_mm, "medium": note("medium." + str(coupon["medium"]))}),
        "time_ratio": thickness_mm / proven_mm,
    }


def refuse_medium(stock: Stock, *, medium: str, coupon: dict[str, Any] | None) -> None:
    """Refuse air, and water without a coupon for alloy steel or 0.7 %C and more."""
    if medium_row(medium)["kind"] == "air":
        raise Refused(field="medium", value=medium, reason="refusal.air_is_no_quench")
    meant = stock.row is not None and medium in stock.row["media"]
    if water_may_crack(stock, medium=medium) and coupon is None and not meant:
        raise Refused(field="medium", value=medium, reason="refusal.water_cracks")


def water_may_crack(stock: Stock, *, medium: str) -> bool:
    """Tell whether water or brine is asked of an alloy steel or of 0.7 %C and more."""
    alloy = stock.nominal
    alloyed = alloy.cr_pct + alloy.ni_pct + alloy.mo_pct > ALLOYED_PCT or alloy.si_pct > 1.0
    return medium_row(medium)["kind"] == "water" and (alloyed or alloy.c_pct >= WATER_CARBON_PCT)


def will_it_harden(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `will_it_harden`: verdict for the edge and the middle, in words and with a margin."""
    names = ["steel", "composition", "austenitise_c", "thickness_mm", "edge_mm", "medium", "bath_c"]
    facts_module.only(facts, names + ["transfer_s", "coupon"])
    stock = stock_of(facts)
    heat_c = aim_c(stock, facts)
    refuse_cold_heat(stock, austenitise_c=heat_c)
    thickness_mm = facts_module.number(facts, "thickness_mm", low=0.5, high=12.0, unit="mm")
    medium = medium_row(str(facts.get("medium")))
    refuse_medium(stock, medium=medium["id"], coupon=facts.get("coupon"))
    bath_c = facts_module.number(
        facts, "bath_c", low=-10.0, high=150.0, unit="degC", default=medium["bath_aim_c"]
    )
    transfer_s = facts_module.number(facts, "transfer_s", low=0.0, high=15.0, unit="s", default=2.0)
    nose = nose_of(stock, austenitise_c=heat_c)
    dissolved = in_solution(stock, austenitise_c=heat_c)
    multiplier = assumed_multiplier(medium["kind"])
    places = []
    curve: list[list[float]] = []
    for place, thick in places_of(facts, thickness_mm=thickness_mm):
        run = run_section(
            medium=medium["id"],
            thickness_mm=thick,
            from_c=heat_c,
            bath_c=bath_c,
            transfer_s=transfer_s,
            nose=nose,
            multiplier=multiplier["value"],
        )
        curve = run["curve"]
        places.append(
            place_answer(
                place,
                run=run,
                nose=nose,
                stock=stock,
                thickness_mm=thick,
                kind=medium["kind"],
                c_pct=dissolved.c_pct,
            )
        )
    ms = martensite_start(stock, austenitise_c=heat_c)
    coupon = coupon_says(facts, medium=medium["id"], thickness_mm=thickness_mm)
    return {
        "places": places,
        "verdict": overall(places, coupon=coupon),
        "curve": curve,
        "nose": {"nose_c": nose.nose_c, "start_s": nose.start_s, "time_factor": nose.time_factor},
        "ms": ms,
        "bath_hold": bath_hold(
            medium["id"], thickness_mm=thickness_mm, from_c=heat_c, bath_c=bath_c, to_c=lift_c(ms["value"])
        ),
        "plate_route": plate_route(dissolved, medium=medium, thickness_mm=thickness_mm),
        "published_limit": section_limit(stock, kind=medium["kind"]),
        "assumption": note("note.multiplier_assumed", {"multiplier": multiplier["value"]}),
        "coupon": coupon,
        "warnings": [note("warning.water_cracks")] if water_may_crack(stock, medium=medium["id"]) else [],
        "sources": nose.sources + ["quenchHtc"] + multiplier["sources"],
    }


def places_of(facts: dict[str, Any], *, thickness_mm: float) -> list[tuple[str, float]]:
    """Return the places to judge: the edge where it is given, then the middle."""
    if facts.get("edge_mm") is None:
        return [("middle", thickness_mm)]
    edge_mm = facts_module.number(facts, "edge_mm", low=0.2, high=thickness_mm, unit="mm")
    return [("edge", max(edge_mm, 0.5)), ("middle", thickness_mm)]


def plate_route(dissolved: Any, *, medium: dict[str, Any], thickness_mm: float) -> dict[str, Any]:
    """Return the plate that the ideal diameter allows: the lower bound, beside the verdict."""
    diameter = ideal_diameter_inch(dissolved) * MM_PER_INCH
    low = plate_mm(EDGE_SHARE * diameter, severity_per_inch=medium["severity_low_per_inch"])
    high = plate_mm(diameter, severity_per_inch=medium["severity_high_per_inch"])
    return {
        "ideal_diameter_mm": diameter,
        "plate": banded(
            (low + high) / 2.0,
            unit="mm",
            low=low,
            high=high,
            sources=["astmA255", "grossmannTable"],
            notes=[note("note.lower_bound")],
            coverage=None,
        ),
        "covers": thickness_mm <= low,
    }


def overall(places: list[dict[str, Any]], *, coupon: dict[str, Any] | None) -> dict[str, Any]:
    """Return the verdict for the blade: the coupon's where it speaks, else the middle's or the edge's."""
    if coupon is not None and coupon["verdict"] is not None:
        return note(coupon["verdict"]["key"])
    middle = places[-1]["verdict"]["key"]
    edge = places[0]["verdict"]["key"]
    if middle in ("verdict.doubtful", "verdict.no") and edge in ("verdict.hardens", "verdict.likely"):
        return note("verdict.edge_only")
    return note(str(middle))
