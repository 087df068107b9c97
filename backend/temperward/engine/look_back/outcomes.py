"""What the shop's own outcomes say: medians, ranges, intervals, and its hardness offset."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import MissingField, OutOfRange
from temperward.engine.quantities import note

Z_95 = 1.959964  # definition: two-sided 95 % of the normal distribution
LEAST_FOR_OFFSET, MOST_OUTCOMES = 3, 5000  # design
WIDEST_RATE_PCT = 40.0  # design: a wider interval is no rate
# Student's t, two-sided 90 %, by degrees of freedom 1 to 10, then 1.7 (definition).
T_90 = [6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860, 1.833, 1.812]
# Wide enough for all that a shop sees; what lies outside is mistyped (design).
NUMBERS = [
    ("bow_mm", 0.0, 50.0, "mm"),
    ("hrc", 20.0, 70.0, "HRC"),
    ("expected_hrc", 20.0, 70.0, "HRC"),
    ("hold_s", 0.0, 600.0, "s"),
    ("expected_hold_s", 0.1, 600.0, "s"),
    ("transfer_s", 0.0, 60.0, "s"),
    ("wait_s", 0.0, 604800.0, "s"),
]


def median(values: list[float]) -> float:
    """Return the middle of the values; of an even count the mean of the middle two.

    >>> median([0.75, 0.25, 0.5, 1.0])
    0.625
    """
    placed = sorted(values)
    half = len(placed) // 2
    if len(placed) % 2 == 1:
        return placed[half]
    return (placed[half - 1] + placed[half]) / 2.0


def wilson_interval_pct(*, count: int, of: int) -> tuple[float, float]:
    """Interval that holds the true rate in 95 of 100 cases, in percent.

    Equation: Wilson's score interval. Valid for any count, 0 included.
    >>> [round(end, 1) for end in wilson_interval_pct(count=1, of=6)]
    [3.0, 56.4]

    Reference: wilson1927.
    """
    z2 = Z_95 * Z_95
    rate = count / of
    middle = (rate + z2 / (2.0 * of)) / (1.0 + z2 / of)
    half = Z_95 * math.sqrt(rate * (1.0 - rate) / of + z2 / (4.0 * of * of)) / (1.0 + z2 / of)
    return max(0.0, 100.0 * (middle - half)), min(100.0, 100.0 * (middle + half))


def spread_of(values: list[float], *, unit: str) -> dict[str, Any] | None:
    """Return median and range of what was measured, or nothing."""
    if not values:
        return None
    return {
        "median": median(values),
        "low": min(values),
        "high": max(values),
        "count": len(values),
        "unit": unit,
    }


def mean_with_band(values: list[float], *, unit: str) -> dict[str, Any] | None:
    """Return the mean with its 90 % interval, once there are three or more."""
    count = len(values)
    if count < LEAST_FOR_OFFSET:
        return None
    mean = sum(values) / count
    deviation = math.sqrt(sum((v - mean) ** 2 for v in values) / (count - 1))
    t = T_90[count - 2] if count - 2 < len(T_90) else 1.7
    half = t * deviation / math.sqrt(count)
    return {
        "value": mean,
        "unit": unit,
        "low": mean - half,
        "high": mean + half,
        "coverage": 0.9,
        "count": count,
        "sources": ["ownShop"],
        "notes": [note("note.own_shop_counts", {"n": count})],
    }


def rate_of(flags: list[bool]) -> dict[str, Any] | None:
    """Return how many of how many with the interval of the rate, or that there are too few for a rate."""
    if not flags:
        return None
    count = len([flag for flag in flags if flag])
    low, high = wilson_interval_pct(count=count, of=len(flags))
    too_few = high - low > WIDEST_RATE_PCT
    return {
        "count": count,
        "of": len(flags),
        "low_pct": low,
        "high_pct": high,
        "too_few": too_few,
        "notes": [note("note.too_few_for_rate")] if too_few else [],
        "sources": ["wilson1927", "ownShop"],
    }


def read_outcomes(facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the outcomes, each number checked."""
    given = facts.get("outcomes")
    if not isinstance(given, list):
        raise MissingField(field="outcomes", reason="refusal.missing")
    if len(given) > MOST_OUTCOMES:
        raise OutOfRange(
            field="outcomes", value=len(given), low=0, high=MOST_OUTCOMES, reason="refusal.too_many"
        )
    allowed = ["steel", "medium", "cracked"] + [name for name, _, _, _ in NUMBERS]
    outcomes = []
    for outcome in given:
        if not isinstance(outcome, dict):
            raise MissingField(field="outcomes", reason="refusal.missing")
        facts_module.only(outcome, allowed)
        read: dict[str, Any] = {"steel": outcome.get("steel"), "medium": outcome.get("medium")}
        for name, low, high, unit in NUMBERS:
            if outcome.get(name) is not None:
                read[name] = facts_module.number(outcome, name, low=low, high=high, unit=unit, of="outcomes")
        if outcome.get("cracked") is not None:
            read["cracked"] = facts_module.flag(outcome, "cracked")
        outcomes.append(read)
    return outcomes


def summary(outcomes: list[dict[str, Any]]) -> dict[str, Any]:
    """Return what a group of outcomes says."""
    offsets = [o["hrc"] - o["expected_hrc"] for o in outcomes if "hrc" in o and "expected_hrc" in o]
    holds = [o["hold_s"] / o["expected_hold_s"] for o in outcomes if "hold_s" in o and "expected_hold_s" in o]
    return {
        "count": len(outcomes),
        "bow": spread_of([o["bow_mm"] for o in outcomes if "bow_mm" in o], unit="mm"),
        "hrc": spread_of([o["hrc"] for o in outcomes if "hrc" in o], unit="HRC"),
        "wait": spread_of([o["wait_s"] for o in outcomes if "wait_s" in o], unit="s"),
        "transfer": spread_of([o["transfer_s"] for o in outcomes if "transfer_s" in o], unit="s"),
        "hardness_offset": mean_with_band(offsets, unit="HRC"),
        "hold_ratio": mean_with_band(holds, unit=""),
        "cracks": rate_of([o["cracked"] for o in outcomes if "cracked" in o]),
    }


def groups_by(outcomes: list[dict[str, Any]], *, name: str) -> list[dict[str, Any]]:
    """Return one summary per steel or medium, in alphabetical order."""
    found = []
    for value in sorted({str(o[name]) for o in outcomes if o[name] is not None}):
        group = summary([o for o in outcomes if str(o[name]) == value])
        group[name] = value
        found.append(group)
    return found


def look_back(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `look_back`: the shop's outcomes, all together, by steel and by medium."""
    facts_module.only(facts, ["outcomes"])
    outcomes = read_outcomes(facts)
    answer = summary(outcomes)
    answer["by_steel"] = groups_by(outcomes, name="steel")
    answer["by_medium"] = groups_by(outcomes, name="medium")
    return answer
