"""Whether a bow grows from heat to heat, told apart from the scatter of the feeler."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import MissingField, OutOfRange
from temperward.engine.quantities import banded, note
from temperward.engine.shape.straightness import FEELER_UNCERTAINTY_MM


def noise_limit_mm(uncertainty_mm: float) -> float:
    """Least step between two bows that is not scatter.

    Equation: 2 sqrt(2) u: two standard deviations of the difference of two readings.
    >>> round(noise_limit_mm(0.05), 3)
    0.141

    Reference: definition.
    """
    return 2.0 * math.sqrt(2.0) * uncertainty_mm


def growing_after(bows_mm: list[float], *, uncertainty_mm: float) -> int | None:
    """Return the index of the bow at which two steps running were growth beyond scatter, or nothing.

    >>> growing_after([0.15, 0.30, 0.55, 0.80], uncertainty_mm=0.05)
    2
    """
    least = noise_limit_mm(uncertainty_mm)
    for k in range(2, len(bows_mm)):
        if bows_mm[k] - bows_mm[k - 1] > least and bows_mm[k - 1] - bows_mm[k - 2] > least:
            return k
    return None


def trend_of(
    bows_mm: list[float], *, uncertainty_mm: float, cycles: list[float] | None = None
) -> dict[str, Any]:
    """Return the trend of two or more bows: slope per cycle, what to expect after the next, and the flag.

    Equation: the least-squares line through bow against cycle; without cycles they are taken as in a row.
    >>> round(trend_of([0.1, 0.4], uncertainty_mm=0.05, cycles=[0.0, 3.0])["slope_mm"], 3)
    0.1

    Reference: definition.
    """
    count = len(bows_mm)
    at = [float(k) for k in range(count)] if cycles is None else cycles
    mean_x, mean_y = sum(at) / count, sum(bows_mm) / count
    sxx = sum((x - mean_x) ** 2 for x in at)
    slope = sum((at[k] - mean_x) * (bows_mm[k] - mean_y) for k in range(count)) / sxx
    error = uncertainty_mm / math.sqrt(sxx)
    away = at[-1] + 1.0 - mean_x
    expected = mean_y + slope * away
    spread = uncertainty_mm * math.sqrt(1.0 / count + away * away / sxx)
    after = growing_after(bows_mm, uncertainty_mm=uncertainty_mm)
    return {
        "flag": after is not None,
        "flagged_after": after,
        "slope_mm": slope,
        "slope_error_mm": error,
        "steps_mm": [bows_mm[k] - bows_mm[k - 1] for k in range(1, count)],
        "noise_limit_mm": noise_limit_mm(uncertainty_mm),
        "expected_next": banded(
            expected,
            unit="mm",
            low=expected - 1.645 * spread,
            high=expected + 1.645 * spread,
            sources=["definition"],
            notes=[note("note.trend_is_a_line")],
        ),
        "bows_mm": bows_mm,
        "sources": ["definition", "practice"],
    }


def warp_trend(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `warp_trend`: bows in shop order, signed if the side changes, oldest first.

    A bow may say after which cycle it was read; then all do, each later than the one before.
    """
    facts_module.only(facts, ["bows", "uncertainty_mm"])
    given = facts.get("bows")
    if not isinstance(given, list) or len(given) < 2:
        raise MissingField(field="bows", low=2, high=20, reason="refusal.two_bows")
    if len(given) > 20:
        raise OutOfRange(field="bows", value=len(given), low=2, high=20, reason="refusal.too_many")
    bows = []
    cycles = cycles_of(given)
    for bow in given:
        if isinstance(bow, dict):
            facts_module.only(bow, ["bow_mm", "cycle"])
        reading = bow if isinstance(bow, dict) else {"bow_mm": bow}
        bows.append(facts_module.number(reading, "bow_mm", low=-50.0, high=50.0, unit="mm", of="bows"))
    uncertainty = facts_module.number(
        facts, "uncertainty_mm", low=0.001, high=1.0, unit="mm", default=FEELER_UNCERTAINTY_MM
    )
    return trend_of(bows, uncertainty_mm=uncertainty, cycles=cycles)


def cycles_of(given: list[Any]) -> list[float] | None:
    """Return after which cycle each bow was read, or nothing where none says so."""
    if not any(isinstance(bow, dict) and bow.get("cycle") is not None for bow in given):
        return None
    found: list[float] = []
    least = 0.0
    for bow in given:
        reading = bow if isinstance(bow, dict) else {}
        found.append(facts_module.number(reading, "cycle", low=least, high=99.0, unit="", of="bows"))
        least = found[-1] + 1.0
    return found
