"""The pictures of a plan: how it cools past the nose, and what each temper leaves. Drawn in a unit square."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine.errors import OutOfRange, Refused
from temperward.engine.interpolate import along
from temperward.engine.metallurgy.alloys import Stock
from temperward.engine.metallurgy.kinetics import LEAST_C, Nose, nose_of, start_time_s
from temperward.engine.metallurgy.tempering import tempered
from temperward.engine.process import card_plan, card_steel
from temperward.engine.process.card_baths import BathRange, baths
from temperward.engine.process.card_facts import Plan, medium_row
from temperward.engine.process.card_numbers import thickest_mm
from temperward.engine.process.card_parts import model_note
from temperward.engine.process.card_steel import Metal
from temperward.engine.process.card_tempers import tempers
from temperward.engine.process.outline_picture import outline
from temperward.engine.process.picture_tables import bath_table, bevel_table, cooling_table, temper_table
from temperward.engine.quantities import note, once
from temperward.engine.thermal.hardening import coupon_note, judge

COOLING_HIGH_C, COOLING_LOW_C, FIRST_S = 900.0, 100.0, 0.1  # design: what the picture spans
NOSE_STEP_C = 20.0  # design: fine enough for the eye
TEMPER_LOW_C, TEMPER_HIGH_C, TEMPER_STEP_C = 150.0, 320.0, 10.0  # temperingFit
BRITTLE_FROM_C = 260.0  # embrittlement
THICKEST_MM, THINNEST_MM = 12.0, 0.5  # design: the conduction model's ends
HARDEST_HRC, SOFTEST_HRC = 68.0, 46.0  # design: what the picture spans


def line(
    kind: str, points: list[list[float]], *, label: str | None = None, at: list[float] | None = None
) -> dict[str, Any]:
    """Return one line: its points from 0 to 1, x to the right and y up, and what is written where."""
    named = None if label is None else note("card.picture." + label)
    return {"kind": kind, "points": points, "label": named, "at": at}


def at_time(time_s: float, *, decades: float) -> float:
    """Return where a time stands: equal steps for each tenfold."""
    return math.log(max(time_s, FIRST_S) / FIRST_S) / math.log(10.0) / decades


def at_heat(temperature_c: float) -> float:
    """Return where a temperature stands in the picture of the cooling."""
    return (temperature_c - COOLING_LOW_C) / (COOLING_HIGH_C - COOLING_LOW_C)


def nose_band(nose: Nose, *, decades: float) -> list[list[float]]:
    """Return the outline of the start of pearlite, sooner and later by its factors."""
    heats = []
    heat_c = LEAST_C
    while heat_c < nose.upper_c - NOSE_STEP_C:
        heats.append(heat_c)
        heat_c += NOSE_STEP_C
    sooner, later = [], []
    for heat_c in heats:
        start_s = start_time_s(heat_c, nose=nose)
        sooner.append([min(1.0, at_time(start_s / nose.time_factor, decades=decades)), at_heat(heat_c)])
        later.append([min(1.0, at_time(start_s * nose.late_factor, decades=decades)), at_heat(heat_c)])
    return sooner + [later[len(later) - 1 - k] for k in range(len(later))]


def earliest(metal: Metal) -> Stock:
    """Return the layer whose nose comes first."""
    heat_c = metal.row["aim_c"]
    first = metal.layers[0]
    for other in metal.layers[1:]:
        if nose_of(other, austenitise_c=heat_c).start_s < nose_of(first, austenitise_c=heat_c).start_s:
            first = other
    return first


def cooling(plan: Plan, *, metal: Metal, ranges: list[BathRange]) -> list[dict[str, Any]]:
    """Return the picture of the cooling: skin, centre, nose and the start of martensite."""
    if not metal.known:
        return []
    stock = earliest(metal)
    heat_c = metal.row["aim_c"]
    medium = medium_row(plan.dips[0].medium, field="quench.0.medium")
    thick = min(THICKEST_MM, thickest_mm(plan))
    judged = judge(
        stock,
        places=[("middle", thick)],
        medium=medium,
        bath_c=ranges[0].aim_c,
        austenitise_c=heat_c,
        transfer_s=0.0,
    )
    curve = judged["curve"][1:]
    decades = 2.0 if curve[-1][0] < FIRST_S * 100.0 else 3.0
    nose = nose_of(stock, austenitise_c=heat_c)
    ms = judged["ms"]
    lines = cooling_lines(curve, nose=nose, ms_c=judged["ms"]["value"], decades=decades)
    return [
        {
            "id": "cooling",
            "title": note("card.picture.cooling", {"thickness_mm": thick, "medium": medium["name"]}),
            "lines": lines,
            "x": [[k / decades, math.pow(10.0, k - 1.0)] for k in range(int(decades) + 1)],
            "x_unit": "s",
            "y": [[at_heat(c), c] for c in [200.0, 400.0, 600.0, 800.0]],
            "y_unit": "degC",
            "notes": cooling_notes(plan, judged=judged, thick=thick),
            "sources": once(judged["sources"] + ms["sources"]),
            "table": cooling_table(curve),
        }
    ]


def cooling_lines(
    curve: list[list[float]], *, nose: Nose, ms_c: float, decades: float
) -> list[dict[str, Any]]:
    """Return nose, start of martensite, skin and centre, each named beside its line."""
    band = nose_band(nose, decades=decades)
    top = band[len(band) // 2]
    ms_y = at_heat(ms_c)
    lines = [
        line("zone", band, label="nose", at=[min(0.86, top[0] + 0.02), top[1] + 0.03]),
        line("mark", [[0.0, ms_y], [1.0, ms_y]], label="ms", at=[0.24, ms_y + 0.03]),
    ]
    for column, kind, label, aside in [(1, "thin", "skin", -0.12), (2, "main", "centre", 0.13)]:
        points = [[min(1.0, at_time(point[0], decades=decades)), at_heat(point[column])] for point in curve]
        x, y = points[len(points) * 3 // 5]
        lines.append(line(kind, points, label=label, at=[x + aside, y]))
    return lines


def cooling_notes(plan: Plan, *, judged: dict[str, Any], thick: float) -> list[dict[str, Any]]:
    """Return what bounds the picture: the section limit, a published one, the coupon, the assumption."""
    limit = judged["limit"]
    facts = {"value_mm": limit["value"], "low_mm": limit["low"], "high_mm": limit["high"]}
    found: list[dict[str, Any]] = [note("card.picture.limit", facts)] + limit["notes"]
    if judged["published_limit"] is not None:
        found.append(note("card.picture.published", {"limit_mm": judged["published_limit"]["limit_mm"]}))
    found = found + coupon_said(plan, thick=thick)
    found = found + [judged["assumption"], note("note.lower_bound_plate", plate_facts(judged))]
    return found + [model_note("hardens")]


def coupon_said(plan: Plan, *, thick: float) -> list[dict[str, Any]]:
    """Return what the coupon proves; one that has not passed is planned: nobody said that it is soft."""
    coupon = plan.coupon
    if coupon is None:
        return []
    if not coupon.passed:
        facts = {"coupon_mm": coupon.thickness_mm, "medium": note("medium." + coupon.medium)}
        return [note("card.picture.coupon_open", facts)]
    return coupon_note(coupon_mm=coupon.thickness_mm, medium=coupon.medium, passed=True, thickness_mm=thick)


def plate_facts(judged: dict[str, Any]) -> dict[str, Any]:
    """Return the plate that the ideal diameter allows."""
    plate = judged["plate_route"]["plate"]
    return {"low_mm": plate["low"], "high_mm": plate["high"]}


def at_temper(temperature_c: float) -> float:
    """Return where a temper stands."""
    return (temperature_c - TEMPER_LOW_C) / (TEMPER_HIGH_C - TEMPER_LOW_C)


def at_hardness(hrc: float) -> float:
    """Return where a hardness stands, on the frame where it lies outside."""
    return min(1.0, max(0.0, (hrc - SOFTEST_HRC) / (HARDEST_HRC - SOFTEST_HRC)))


def temper_points(stock: Stock, *, hold_s: float, cycles: int, by_eye: bool) -> list[list[Any]]:
    """Return [temperature_c, hardness with band] where a model holds."""
    found = []
    heat_c = TEMPER_LOW_C
    while heat_c <= TEMPER_HIGH_C:
        try:
            hrc = tempered(stock, heats=[[heat_c, hold_s]] * cycles, by_eye=by_eye)
        except (OutOfRange, Refused):  # this steel's table ends here, or no model holds for it
            break
        found.append([heat_c, hrc])
        heat_c += TEMPER_STEP_C
    return found


def temper_curve(plan: Plan, *, metal: Metal) -> list[dict[str, Any]]:
    """Return the picture of hardness against temper, the wanted hardness and its set point marked."""
    if not metal.known:
        return []
    planned, _ = tempers(plan, metal=metal)
    last = planned[-1]
    points = temper_points(metal.layers[0], hold_s=last.hold_s, cycles=len(planned), by_eye=plan.by_eye)
    if len(points) < 2:  # noqa: PLR2004  # a line needs two
        return []
    band = [[at_temper(c), at_hardness(hrc["high"])] for c, hrc in points]
    lower = [[at_temper(c), at_hardness(hrc["low"])] for c, hrc in points]
    band = band + [lower[len(lower) - 1 - k] for k in range(len(lower))]
    from_x = at_temper(BRITTLE_FROM_C)
    lines = [
        line(
            "zone",
            [[from_x, 0.0], [1.0, 0.0], [1.0, 1.0], [from_x, 1.0]],
            label="brittle",
            at=[(from_x + 1.0) / 2.0, 0.9],
        ),
        line("band", band),
        line("main", [[at_temper(c), at_hardness(hrc["value"])] for c, hrc in points]),
    ]
    reached = along([[c, hrc["value"]] for c, hrc in points], last.temperature_c)
    wanted = reached if plan.target_hrc is None else plan.target_hrc
    x, y = at_temper(last.temperature_c), at_hardness(wanted)
    label = "expected" if plan.target_hrc is None else "wanted"
    lines.append(line("mark", [[0.0, y], [x, y], [x, 0.0]], label=label, at=[x / 2.0, y - 0.09]))
    hrc = points[0][1]
    return [
        {
            "id": "temper",
            "title": note("card.picture.temper", {"n": len(planned), "hold_s": last.hold_s}),
            "lines": lines,
            "x": [[at_temper(c), c] for c in [150.0, 200.0, 250.0, 300.0]],
            "x_unit": "degC",
            "y": [[at_hardness(one), one] for one in [50.0, 55.0, 60.0, 65.0]],
            "y_unit": "HRC",
            "notes": hrc["notes"] + [model_note("tempered")],
            "sources": hrc["sources"],
            "table": temper_table(points),
        }
    ]


def card_pictures(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `card_pictures`: the facts of a card, shown as pictures and tables."""
    plan = card_plan.read(facts)
    metal = card_steel.of_facts(facts)
    ranges = baths(plan)
    return {
        "pictures": outline(plan)
        + cooling(plan, metal=metal, ranges=ranges)
        + temper_curve(plan, metal=metal),
        "tables": bevel_table(plan, metal=metal) + bath_table(plan, metal=metal, ranges=ranges),
    }
