"""How straight a blade is, from feeler readings along it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import MissingField, OutOfRange
from temperward.engine.quantities import banded, note

BOW_LIMIT_PCT = (
    0.10  # practice: before a heat and before hardening, of the measured length; a shop may set it
)
BOW_OVER_PCT = 0.30  # practice: straighten hot and cycle again
FEELER_UNCERTAINTY_MM = 0.05  # practice: one standard deviation of a feeler reading
# 90 % of normal errors lie within 1.645 standard deviations; a chord deviation in mid-length has 1.5 times
# the variance of one reading (definition).
DEVIATION_FACTOR = 1.645 * math.sqrt(1.5)
KINK_SHARE = 0.9  # design: of the second difference that one single sharp bend would show


@dataclass(frozen=True, kw_only=True)
class Bow:
    """What the readings say: all lengths in millimetres."""

    bow_mm: float
    at_mm: float
    sign: int
    low_mm: float
    high_mm: float
    minimum_zone_mm: float
    length_mm: float


def first_of(point: list[float]) -> float:
    """Return the station of a point, for sorting."""
    return point[0]


def chord_deviations(points: list[list[float]]) -> list[list[float]]:
    """Return [at_mm, deviation_mm] from the straight line through the first and the last point."""
    x0, y0 = points[0]
    x1, y1 = points[-1]
    slope = (y1 - y0) / (x1 - x0)
    return [[x, y - y0 - slope * (x - x0)] for x, y in points]


def hull(points: list[list[float]], *, upper: bool) -> list[list[float]]:
    """Return the upper or lower convex hull of points sorted by station."""
    turn = 1.0 if upper else -1.0
    kept: list[list[float]] = []
    for point in points:
        while len(kept) > 1 and turn * cross(kept[-2], kept[-1], point) >= 0.0:
            kept.pop()
        kept.append(point)
    return kept


def cross(a: list[float], b: list[float], c: list[float]) -> float:
    """Return twice the signed area of a triangle; positive when c lies to the left of a to b."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def minimum_zone_mm(points: list[list[float]]) -> float:
    """Least height of a strip that holds all points: the straightness deviation.

    Equation: exact; the best strip lies along one edge of the convex hull. Valid for sorted points;
    adding any a + b x to the readings changes nothing. In: mm.
    >>> round(minimum_zone_mm([[0, 0], [50, 0.3], [100, -0.1], [150, 0.25], [200, 0]]), 3)
    0.375

    Reference: iso12780.
    """
    best: float | None = None
    for upper in [True, False]:
        edge = hull(points, upper=upper)
        for k in range(len(edge) - 1):
            (x0, y0), (x1, y1) = edge[k], edge[k + 1]
            slope = (y1 - y0) / (x1 - x0)
            height = max(abs(y - y0 - slope * (x - x0)) for x, y in points)
            best = height if best is None else min(best, height)
    return 0.0 if best is None else best


def least_squares_zone_mm(points: list[list[float]]) -> float:
    """Peak to valley about the least-squares line: shown beside the minimum zone, never in its place."""
    count = len(points)
    mean_x = sum(x for x, _ in points) / count
    mean_y = sum(y for _, y in points) / count
    sxx = sum((x - mean_x) ** 2 for x, _ in points)
    slope = sum((x - mean_x) * (y - mean_y) for x, y in points) / sxx
    left = [y - mean_y - slope * (x - mean_x) for x, y in points]
    return max(left) - min(left)


def bow_of(points: list[list[float]]) -> Bow:
    """Return the bow of points [at_mm, gap_mm] in any order: the largest deviation from the end-to-end chord.

    >>> bow_of([[0, 1.0], [210, 1.55], [420, 1.0]]).at_mm
    210
    """
    placed = sorted(points, key=first_of)
    away = chord_deviations(placed)
    worst = away[0]
    for point in away:
        if abs(point[1]) > abs(worst[1]):
            worst = point
    values = [y for _, y in away]
    return Bow(
        bow_mm=abs(worst[1]),
        at_mm=worst[0],
        sign=1 if worst[1] >= 0 else -1,
        low_mm=min(values),
        high_mm=max(values),
        minimum_zone_mm=minimum_zone_mm(placed),
        length_mm=placed[-1][0] - placed[0][0],
    )


def second_differences(away: list[list[float]]) -> list[list[float]]:
    """Return [at_mm, second difference in mm] at the inner stations; unequal spacing is averaged."""
    found = []
    for k in range(1, len(away) - 1):
        before = away[k][0] - away[k - 1][0]
        after = away[k + 1][0] - away[k][0]
        change = (away[k + 1][1] - away[k][1]) / after - (away[k][1] - away[k - 1][1]) / before
        found.append([away[k][0], change * (before + after) / 2.0])
    return found


def kink_of(away: list[list[float]], *, bow: Bow, uncertainty_mm: float) -> dict[str, Any]:
    """Return the sharpest place, and whether it is a kink: nearly all of the bend at one station."""
    bends = second_differences(away)
    sharpest = bends[0]
    for bend in bends:
        if abs(bend[1]) > abs(sharpest[1]):
            sharpest = bend
    spacing = bow.length_mm / (len(away) - 1)
    reach = max(bow.at_mm - away[0][0], spacing), max(away[-1][0] - bow.at_mm, spacing)
    single = bow.bow_mm * spacing * (1.0 / reach[0] + 1.0 / reach[1])
    noise = 2.0 * math.sqrt(6.0) * uncertainty_mm
    both_sides = bow.low_mm < -noise / 2.0 and bow.high_mm > noise / 2.0
    is_kink = len(away) > 3 and not both_sides and abs(sharpest[1]) > max(KINK_SHARE * single, noise)
    return {"at_mm": sharpest[0], "second_difference_mm": sharpest[1], "is_kink": is_kink}


def read_stations(facts: dict[str, Any], *, value: str = "gap_mm") -> list[list[float]]:
    """Return the readings as [at_mm, value], at least three stations, no two at one place."""
    given = facts.get("stations")
    if not isinstance(given, list) or len(given) < 3:
        raise MissingField(field="stations", low=3, high=60, reason="refusal.three_stations")
    if len(given) > 60:
        raise OutOfRange(field="stations", value=len(given), low=3, high=60, reason="refusal.too_many")
    points = []
    for station in given:
        if not isinstance(station, dict):
            raise MissingField(field="stations.at_mm", unit="mm", reason="refusal.missing")
        facts_module.only(station, ["at_mm", value])
        at_mm = facts_module.number(station, "at_mm", low=0.0, high=3000.0, unit="mm", of="stations")
        points.append(
            [at_mm, facts_module.number(station, value, low=-50.0, high=50.0, unit="mm", of="stations")]
        )
    points = sorted(points, key=first_of)
    for k in range(1, len(points)):
        if points[k][0] - points[k - 1][0] < 0.5:
            raise OutOfRange(
                field="stations.at_mm", value=points[k][0], low=0.5, unit="mm", reason="refusal.same_station"
            )
    return points


def verdict_of(value_mm: float, *, length_mm: float, limit_pct: float) -> str:
    """Return within, moderate or over: what to do about a bow of this size."""
    if value_mm <= limit_pct / 100.0 * length_mm:
        return "within"
    return "moderate" if value_mm <= BOW_OVER_PCT / 100.0 * length_mm else "over"


def straightness(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `straightness`: bow, where, minimum zone, verdict, from gaps under a straightedge."""
    facts_module.only(facts, ["length_mm", "pad_mm", "stations", "side", "uncertainty_mm", "limit_pct"])
    points = read_stations(facts)
    pad_mm = facts_module.number(facts, "pad_mm", low=0.0, high=20.0, unit="mm", default=0.0)
    uncertainty = facts_module.number(
        facts, "uncertainty_mm", low=0.001, high=1.0, unit="mm", default=FEELER_UNCERTAINTY_MM
    )
    limit_pct = facts_module.number(facts, "limit_pct", low=0.01, high=1.0, unit="pct", default=BOW_LIMIT_PCT)
    side = facts_module.choice(facts, "side", choices=["left", "right"], default="left")
    away = chord_deviations(points)
    bow = bow_of(points)
    length_mm = facts_module.number(
        facts, "length_mm", low=max(20.0, bow.length_mm), high=3000.0, unit="mm", default=bow.length_mm
    )
    half = DEVIATION_FACTOR * uncertainty
    s_bend = bow.low_mm < -half and bow.high_mm > half
    deviation = bow.minimum_zone_mm
    limit_mm = limit_pct / 100.0 * length_mm
    notes = [note("note.s_bend", {"range_mm": bow.high_mm - bow.low_mm})] if s_bend else []
    if abs(deviation - limit_mm) < half:
        notes.append(note("note.near_limit", {"uncertainty_mm": half}))
    return {
        "bow_mm": bow.bow_mm,
        "at_mm": bow.at_mm,
        "side": side if bow.sign > 0 else ("right" if side == "left" else "left"),
        "length_mm": length_mm,
        "deviation": banded(
            deviation,
            unit="mm",
            low=max(0.0, deviation - half),
            high=deviation + half,
            sources=["iso12780"],
            notes=notes,
        ),
        "minimum_zone_mm": deviation,
        "chord_range_mm": bow.high_mm - bow.low_mm,
        "least_squares_mm": least_squares_zone_mm(points),
        "per_metre_mm": 1000.0 * bow.bow_mm / length_mm,
        "radius_m": None if bow.bow_mm < 1e-9 else bow.length_mm**2 / (8.0 * bow.bow_mm) / 1000.0,
        "s_bend": s_bend,
        "kink": kink_of(away, bow=bow, uncertainty_mm=uncertainty),
        "limit_mm": limit_mm,
        "verdict": verdict_of(deviation, length_mm=length_mm, limit_pct=limit_pct),
        "pad_mm": pad_mm,
        "stations": [{"at_mm": x, "deviation_mm": y} for x, y in away],
        "sources": ["iso12780", "practice"],
    }
