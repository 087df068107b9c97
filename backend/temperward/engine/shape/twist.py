"""Twist between two places of a blade."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.quantities import banded
from temperward.engine.shape.straightness import FEELER_UNCERTAINTY_MM

TWIST_LIMIT_DEG = 0.5  # practice: straighten hot and cycle again


def twist_deg(gap_mm: float, *, width_mm: float) -> float:
    """Angle of a corner that stands off over the blade's width.

    Equation: atan(gap / width). In: mm.
    >>> round(twist_deg(0.35, width_mm=36.0), 2)
    0.56

    Reference: geometry.
    """
    return math.atan(gap_mm / width_mm) * 180.0 / math.pi


def twist(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `twist`: corner gap over the width at one station."""
    facts_module.only(facts, ["gap_mm", "width_mm", "uncertainty_mm"])
    gap_mm = facts_module.number(facts, "gap_mm", low=-20.0, high=20.0, unit="mm")
    width_mm = facts_module.number(facts, "width_mm", low=3.0, high=300.0, unit="mm")
    uncertainty = facts_module.number(
        facts, "uncertainty_mm", low=0.001, high=1.0, unit="mm", default=FEELER_UNCERTAINTY_MM
    )
    value = twist_deg(gap_mm, width_mm=width_mm)
    half = twist_deg(1.645 * uncertainty, width_mm=width_mm)
    return {
        "twist": banded(value, unit="deg", low=value - half, high=value + half, sources=["geometry"]),
        "limit_deg": TWIST_LIMIT_DEG,
        "verdict": "over" if abs(value) > TWIST_LIMIT_DEG else "within",
        "sources": ["practice"],
    }
