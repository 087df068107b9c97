"""How fast austenite turns to pearlite on its way past the nose, and what is left for martensite."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from temperward.engine import data_files
from temperward.engine.metallurgy.alloys import Alloy, Stock, row_for, stock_of_row
from temperward.engine.metallurgy.hardenability import MM_PER_INCH, ideal_diameter_inch, in_solution
from temperward.engine.metallurgy.transformation import ac1_c
from temperward.engine.quantities import kelvin

# One per cent changed at the start time, ninety-nine at the end (definition of the diagrams).
START_EXTENT, END_EXTENT = -math.log(0.99), -math.log(0.01)
HARD_FRACTION = 0.90  # design: the centre counts as hard with nine tenths martensite
LEAST_C = 350.0  # below it no pearlite forms in the time a blade spends there (ttAtlas)
TIME_FACTOR, GENERAL_TIME_FACTOR = 2.0, 3.0  # ttAtlas readings; general rule (li1998 compared with ttAtlas)


@dataclass(frozen=True, kw_only=True)
class Nose:
    """The nose of the pearlite curve: where and when, and the upper end of the change.

    It may come sooner by time_factor (a lean bar of the steel) and later by late_factor (a rich one).
    """

    nose_c: float
    start_s: float
    order: float
    upper_c: float
    activation_k: float
    time_factor: float
    late_factor: float
    sources: list[str]


def nose_of(stock: Stock, *, austenitise_c: float) -> Nose:
    """Return the steel's nose; an analysis shifts it with the square of its ideal diameter.

    A bar whose own analysis is not of its steel has the general nose.
    The factor of time is that of the diagram and of the steel's own range together, as root of the sum of
    squares of their logarithms. Reference: ttAtlas, astmA255.
    """
    data = data_files.load("kinetics")
    dissolved = in_solution(stock, austenitise_c=austenitise_c)
    diameter = ideal_diameter_inch(dissolved) * MM_PER_INCH
    chosen = data["general"]
    scale = (diameter / chosen["at_diameter_mm"]) ** 2
    factor = GENERAL_TIME_FACTOR
    row = row_for(stock)
    for nose in data["noses"]:
        if row is not None and nose["steel"] == row["designation"]:
            chosen = nose
            factor = TIME_FACTOR
            scale = own_analysis_scale(stock, diameter_mm=diameter, austenitise_c=austenitise_c)
    upper = ac1_c(stock.nominal)
    top_k = kelvin(chosen["nose_c"])
    return Nose(
        nose_c=chosen["nose_c"],
        start_s=chosen["start_s"] * scale,
        order=math.log(END_EXTENT / START_EXTENT) / math.log(chosen["end_s"] / chosen["start_s"]),
        upper_c=upper,
        activation_k=3.0 * top_k * top_k / (upper - chosen["nose_c"]),
        time_factor=with_range(factor, by=own_range(stock, end=stock.lean, austenitise_c=austenitise_c)),
        late_factor=with_range(factor, by=own_range(stock, end=stock.rich, austenitise_c=austenitise_c)),
        sources=list(chosen["sources"]),
    )


def own_range(stock: Stock, *, end: Alloy, austenitise_c: float) -> float:
    """Return how far one end of the steel's range moves the nose: 1 for a bar's own analysis."""
    diameters = [
        ideal_diameter_inch(in_solution(stock, austenitise_c=austenitise_c, of=alloy))
        for alloy in [stock.nominal, end]
    ]
    return (diameters[1] / diameters[0]) ** 2


def with_range(factor: float, *, by: float) -> float:
    """Return two factors of time that have nothing to do with each other as one.

    >>> round(with_range(2.0, by=1.0), 6), round(with_range(2.0, by=0.5), 2)
    (2.0, 2.67)
    """
    if by == 1.0:
        return factor
    return math.exp(math.sqrt(math.log(factor) ** 2 + math.log(by) ** 2))


def own_analysis_scale(stock: Stock, *, diameter_mm: float, austenitise_c: float) -> float:
    """Return how much slower a bar's own analysis is than its steel's nominal."""
    if not stock.own_analysis or stock.row is None:
        return 1.0
    usual = (
        ideal_diameter_inch(in_solution(stock_of_row(stock.row), austenitise_c=austenitise_c)) * MM_PER_INCH
    )
    return (diameter_mm / usual) ** 2


def start_time_s(temperature_c: float, *, nose: Nose) -> float:
    """Time to one per cent pearlite at one temperature.

    Equation: t = t_nose ((Au - Tn)/(Au - T))3 exp(Q/R (1/T - 1/Tn)), Q such that the nose is at Tn. Valid
    350 degC to just under the change. Error: a factor of 2 (named steel) or 3 (general).
    Reference: ttAtlas; shape of the curve li1998.
    """
    drive = (nose.upper_c - nose.nose_c) / (nose.upper_c - temperature_c)
    slow = nose.activation_k * (1.0 / kelvin(temperature_c) - 1.0 / kelvin(nose.nose_c))
    return nose.start_s * drive * drive * drive * math.exp(slow)


def extent_added(temperature_c: float, *, step_s: float, nose: Nose) -> float:
    """Return what one step adds to the sum of time over start time (additivity)."""
    if temperature_c < LEAST_C or temperature_c > nose.upper_c - 5.0:
        return 0.0
    return step_s / start_time_s(temperature_c, nose=nose)


def pearlite_fraction(extent: float, *, nose: Nose) -> float:
    """Part changed after a sum of time over start time.

    Equation: X = 1 - exp(-b s^n), 1 % at s = 1. Reference: ttAtlas.
    """
    if extent <= 0.0:
        return 0.0
    power: float = math.pow(extent, nose.order)
    return 1.0 - math.exp(-START_EXTENT * power)


def hard_extent(nose: Nose) -> float:
    """Return the sum of time over start time at which a tenth has changed: the most for a hard centre."""
    extent: float = math.pow(-math.log(HARD_FRACTION) / START_EXTENT, 1.0 / nose.order)
    return extent


def extent_along(points: list[list[float]], *, column: int, nose: Nose) -> float:
    """Sum a cooling curve [[time_s, surface_c, centre_c], ...] by its pieces; column 1 skin, 2 centre."""
    total = 0.0
    for k in range(1, len(points)):
        middle = (points[k][column] + points[k - 1][column]) / 2.0
        total += extent_added(middle, step_s=points[k][0] - points[k - 1][0], nose=nose)
    return total


def section_limit(stock: Stock, *, kind: str) -> dict[str, Any] | None:
    """Return the published section limit of a steel in oil or water, if there is one."""
    row = row_for(stock)
    for limit in data_files.load("kinetics")["section_limits"]:
        if row is not None and limit["steel"] == row["designation"] and limit["kind"] == kind:
            return limit  # type: ignore[no-any-return]
    return None


def assumed_multiplier(kind: str) -> dict[str, Any]:
    """Return the assumed multiplier on a bath's heat transfer for the verdict; every kind has one."""
    rows = data_files.load("kinetics")["assumed_multipliers"]
    return next(row for row in rows if row["kind"] == kind)
