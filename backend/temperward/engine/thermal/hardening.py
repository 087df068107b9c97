"""Whether a section hardens in a bath: cooling against the pearlite nose, held to the published limits."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import OutOfRange, Refused
from temperward.engine.metallurgy.alloys import Stock, aim_c, row_for, stock_of
from temperward.engine.metallurgy.hardenability import (
    EDGE_SHARE,
    MM_PER_INCH,
    ideal_diameter_inch,
    in_solution,
    plate_mm,
)
from temperward.engine.metallurgy.hardness import as_quenched_band
from temperward.engine.metallurgy.kinetics import (
    Nose,
    assumed_multiplier,
    extent_along,
    hard_extent,
    nose_of,
    pearlite_fraction,
    section_limit,
)
from temperward.engine.metallurgy.martensite import fraction_at, martensite_start
from temperward.engine.metallurgy.transformation import refuse_cold_heat
from temperward.engine.quantities import banded, note
from temperward.engine.thermal.bath_hold import bath_hold, cooling_curve, lift_c
from temperward.engine.thermal.media import medium_row
from temperward.engine.thermal.section_run import END_C, run_section

MARGIN_LIKELY = 1.0  # design: the nominal nose is just passed
LIMIT_GRID_MM = [0.5, 1.0, 1.6, 2.4, 3.6, 5.4, 8.0, 12.0]  # design: from end to end of the conduction
OVER_BATH_K = 20.0  # design: a curve is followed no nearer to its bath
WATER_CARBON_PCT, ALLOYED_PCT = 0.7, 0.3  # practice: where water cracks
LEAST_MM = 0.5  # design: the conduction's thinnest section
ROOM_C = 20.0  # definition: where what stays austenite is told


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


def verdict_of_margin(margin: float, *, nose: Nose) -> str:
    """Return hardens, likely, doubtful or no: the nose may come sooner or later by its factors."""
    if margin >= nose.time_factor:
        return "hardens"
    if margin >= MARGIN_LIKELY:
        return "likely"
    return "doubtful" if margin >= 1.0 / nose.late_factor else "no"


def thickness_limit(
    stock: Stock, *, medium: str, bath_c: float, austenitise_c: float, nose: Nose
) -> dict[str, Any]:
    """Return how thick a plate still has nine tenths martensite at its centre in this bath.

    By the short cut at eight thicknesses, straight pieces between them in logarithms; the band is the nose
    sooner or later by its factors. Held to the published limit, and to what the conduction covers.
    Reference: ttAtlas, quenchHtc.
    """
    margins = [
        quick_margin(stock, thickness_mm=mm, medium=medium, bath_c=bath_c, austenitise_c=austenitise_c)
        for mm in LIMIT_GRID_MM
    ]
    published = section_limit(stock, kind=medium_row(medium)["kind"])
    most_mm = LIMIT_GRID_MM[-1] if published is None else published["limit_mm"]
    value, low, high = [
        min(most_mm, thickness_at(margins, level=level))
        for level in [1.0, nose.time_factor, 1.0 / nose.late_factor]
    ]
    sources = nose.sources + ["quenchHtc"] + ([] if published is None else published["sources"])
    notes = [note("note.as_far_as_it_reaches")] if value >= LIMIT_GRID_MM[-1] else []
    return banded(value, unit="mm", low=low, high=high, sources=sources, notes=notes)


def thickness_at(margins: list[float], *, level: float) -> float:
    """Return the thickness at which the margin falls to a level, within the thicknesses covered."""
    if margins[0] <= level:
        return LIMIT_GRID_MM[0]
    for k in range(1, len(margins)):
        if margins[k] < level:
            share = math.log(margins[k - 1] / level) / math.log(margins[k - 1] / margins[k])
            before = LIMIT_GRID_MM[k - 1]
            step: float = math.pow(LIMIT_GRID_MM[k] / before, share)
            return before * step
    return LIMIT_GRID_MM[-1]


def place_answer(
    place: str,
    *,
    run: dict[str, Any],
    nose: Nose,
    stock: Stock,
    thickness_mm: float,
    kind: str,
    austenitise_c: float,
    ms_c: float,
) -> dict[str, Any]:
    """Return the verdict of one place: margin, martensite at skin and centre with band, hardness there."""
    margin = hard_extent(nose) / max(run["centre_extent"], 1e-9)
    capped = margin_under_limit(stock, margin=margin, thickness_mm=thickness_mm, kind=kind)
    answer: dict[str, Any] = {
        "place": place,
        "thickness_mm": thickness_mm,
        "margin": capped,
        "verdict": note("verdict." + verdict_of_margin(capped, nose=nose)),
        "held_to_published_limit": capped < margin,
    }
    for where in ["skin", "centre"]:
        answer[where] = at_depth(
            run[where + "_extent"], nose=nose, stock=stock, austenitise_c=austenitise_c, ms_c=ms_c
        )
    return answer


def at_depth(extent: float, *, nose: Nose, stock: Stock, austenitise_c: float, ms_c: float) -> dict[str, Any]:
    """Return martensite and hardness at one depth, the nose sooner and later by its factors.

    Martensite is what did not turn to pearlite; a note says how much of it stays austenite at room
    temperature (koistinenMarburger1959). Hardness is that of `as_quenched_hardness` at the same fraction.
    """
    value, low, high = [
        1.0 - pearlite_fraction(scaled, nose=nose)
        for scaled in [extent, extent * nose.time_factor, extent / nose.late_factor]
    ]
    hrc = as_quenched_band(stock, austenitise_c=austenitise_c, martensite_fraction=value)
    softer = as_quenched_band(stock, austenitise_c=austenitise_c, martensite_fraction=low)
    harder = as_quenched_band(stock, austenitise_c=austenitise_c, martensite_fraction=high)
    left_pct = 100.0 * (1.0 - fraction_at(ROOM_C, ms_c=ms_c))
    return {
        "martensite": banded(
            100.0 * value,
            unit="pct",
            low=100.0 * low,
            high=100.0 * high,
            sources=nose.sources,
            notes=[note("note.part_stays_austenite", {"left_pct": left_pct})],
        ),
        "hrc": banded(
            hrc["value"],
            unit="HRC",
            low=softer["low"],
            high=harder["high"],
            sources=hrc["sources"] + ["hodgeOrehoski1946"],
            notes=hrc["notes"],
        ),
    }


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
    told = coupon_note(
        coupon_mm=proven_mm, medium=str(coupon["medium"]), passed=passed, thickness_mm=thickness_mm
    )
    return {
        "verdict": None if verdict is None else note(verdict),
        "proves": told[0],
        "notes": told[1:],
        "time_ratio": thickness_mm / proven_mm,
    }


def coupon_note(*, coupon_mm: float, medium: str, passed: bool, thickness_mm: float) -> list[dict[str, Any]]:
    """Return what a coupon proves, as a thickness limit, and how much slower than it the blade cools."""
    facts = {"coupon_mm": coupon_mm, "medium": note("medium." + medium)}
    found = [note("note.coupon_proves" if passed else "note.coupon_disproves", facts)]
    if passed and thickness_mm > coupon_mm:
        found.append(note("note.coupon_too_thin", {"ratio": thickness_mm / coupon_mm}))
    return found


def refuse_medium(stock: Stock, *, medium: str, coupon: dict[str, Any] | None) -> None:
    """Refuse air, and water without a coupon for alloy steel or 0.7 %C and more."""
    if medium_row(medium)["kind"] == "air":
        raise Refused(field="medium", value=medium, reason="refusal.air_is_no_quench")
    row = row_for(stock)
    meant = row is not None and medium in row["media"]
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
    bath_c = bath_of(facts, medium=medium)
    transfer_s = facts_module.number(facts, "transfer_s", low=0.0, high=15.0, unit="s", default=2.0)
    judged = judge(
        stock,
        places=places_of(facts, thickness_mm=thickness_mm),
        medium=medium,
        bath_c=bath_c,
        austenitise_c=heat_c,
        transfer_s=transfer_s,
    )
    coupon = coupon_says(facts, medium=medium["id"], thickness_mm=thickness_mm)
    for place in judged["places"]:
        place["notes"] = thin_notes(facts) if place["place"] == "edge" else []
    judged["verdict"] = overall(judged["places"], coupon=coupon)
    judged["coupon"] = coupon
    judged["bath_hold"] = bath_hold(
        medium["id"],
        thickness_mm=thickness_mm,
        from_c=heat_c,
        bath_c=bath_c,
        to_c=lift_c(judged["ms"]["value"]),
    )
    warned = water_may_crack(stock, medium=medium["id"])
    judged["warnings"] = [note("warning.water_cracks")] if warned else []
    return judged


def judge(
    stock: Stock,
    *,
    places: list[tuple[str, float]],
    medium: dict[str, Any],
    bath_c: float,
    austenitise_c: float,
    transfer_s: float,
) -> dict[str, Any]:
    """Return what the conduction says of each place, the curve of the last, and what bounds it."""
    nose = nose_of(stock, austenitise_c=austenitise_c)
    dissolved = in_solution(stock, austenitise_c=austenitise_c)
    multiplier = assumed_multiplier(medium["kind"])
    ms = martensite_start(stock, austenitise_c=austenitise_c)
    found = []
    run: dict[str, Any] = {}
    for place, thickness_mm in places:
        run = run_section(
            medium=medium["id"],
            thickness_mm=thickness_mm,
            from_c=austenitise_c,
            bath_c=bath_c,
            transfer_s=transfer_s,
            nose=nose,
            multiplier=multiplier["value"],
            end_c=min(END_C, max(ms["value"], bath_c + OVER_BATH_K)),
        )
        found.append(
            place_answer(
                place,
                run=run,
                nose=nose,
                stock=stock,
                thickness_mm=thickness_mm,
                kind=medium["kind"],
                austenitise_c=austenitise_c,
                ms_c=ms["value"],
            )
        )
    return {
        "places": found,
        "curve": run["curve"],
        "nose": {
            "nose_c": nose.nose_c,
            "start_s": nose.start_s,
            "time_factor": nose.time_factor,
            "late_factor": nose.late_factor,
        },
        "ms": ms,
        "limit": thickness_limit(
            stock, medium=medium["id"], bath_c=bath_c, austenitise_c=austenitise_c, nose=nose
        ),
        "plate_route": plate_route(dissolved, medium=medium, thickness_mm=places[-1][1]),
        "published_limit": section_limit(stock, kind=medium["kind"]),
        "assumption": note("note.multiplier_assumed", {"multiplier": multiplier["value"]}),
        "sources": nose.sources + ["quenchHtc"] + multiplier["sources"],
    }


def places_of(facts: dict[str, Any], *, thickness_mm: float) -> list[tuple[str, float]]:
    """Return the places to judge: the edge where it is given, then the middle."""
    if facts.get("edge_mm") is None:
        return [("middle", thickness_mm)]
    edge_mm = facts_module.number(facts, "edge_mm", low=0.2, high=thickness_mm, unit="mm")
    return [("edge", max(edge_mm, LEAST_MM)), ("middle", thickness_mm)]


def thin_notes(facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Return that an edge thinner than the conduction reaches was judged as its thinnest section."""
    edge_mm = facts["edge_mm"]
    if edge_mm >= LEAST_MM:
        return []
    return [note("note.judged_as_thicker", {"edge_mm": edge_mm, "least_mm": LEAST_MM})]


def bath_of(facts: dict[str, Any], *, medium: dict[str, Any]) -> float:
    """Return the bath's temperature; refuse one outside the medium's working range, as a card does.

    The heat transfer of the table is that of a bath in its range: colder oil is thicker and hotter water
    keeps its film, which the table does not know.
    """
    facts_module.number(facts, "bath_c", low=-10.0, high=150.0, unit="degC", default=medium["bath_aim_c"])
    low_c, high_c = float(medium["bath_low_c"]), float(medium["bath_high_c"])
    given = facts.get("bath_c")
    bath_c = float(medium["bath_aim_c"] if given is None else given)
    if bath_c < low_c or bath_c > high_c:
        raise OutOfRange(
            field="bath_c", value=bath_c, low=low_c, high=high_c, unit="degC", reason="refusal.bath_range"
        )
    return bath_c


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
