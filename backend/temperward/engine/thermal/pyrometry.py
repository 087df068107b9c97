"""How far a thermocouple may be out."""

from __future__ import annotations

from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import UnknownName
from temperward.engine.quantities import banded, once

# (kind, grade): least in K, share of the reading in degC, where it is for (astmE230, iec60584)
TOLERANCES = [
    ("K", "standard", 2.2, 0.0075, 0.0, 1260.0),
    ("K", "special", 1.1, 0.004, 0.0, 1260.0),
    ("N", "standard", 2.2, 0.0075, 0.0, 1260.0),
    ("N", "special", 1.1, 0.004, 0.0, 1260.0),
    ("J", "standard", 2.2, 0.0075, 0.0, 760.0),
    ("J", "special", 1.1, 0.004, 0.0, 760.0),
    ("T", "standard", 1.0, 0.0075, 0.0, 370.0),
    ("T", "special", 0.5, 0.004, 0.0, 370.0),
    ("E", "standard", 1.7, 0.005, 0.0, 870.0),
    ("E", "special", 1.0, 0.004, 0.0, 870.0),
    ("R", "standard", 1.5, 0.0025, 0.0, 1480.0),
    ("R", "special", 0.6, 0.001, 0.0, 1480.0),
    ("S", "standard", 1.5, 0.0025, 0.0, 1480.0),
    ("S", "special", 0.6, 0.001, 0.0, 1480.0),
    ("B", "standard", 0.0, 0.005, 870.0, 1700.0),
    ("B", "special", 0.0, 0.0025, 870.0, 1700.0),
    ("K", "iec_1", 1.5, 0.004, -40.0, 1000.0),
    ("K", "iec_2", 2.5, 0.0075, -40.0, 1200.0),
]


def thermocouple_tolerance(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `thermocouple_tolerance`: how far a new couple may be out at a temperature.

    Equation: the greater of a fixed value and a share of the reading.
    >>> thermocouple_tolerance({"temperature_c": 800.0})["tolerance"]["value"]
    6.0

    Reference: astmE230, iec60584.
    """
    facts_module.only(facts, ["temperature_c", "kind", "grade"])
    kind = facts_module.choice(facts, "kind", choices=once([row[0] for row in TOLERANCES]), default="K")
    grades = once([row[1] for row in TOLERANCES])
    grade = facts_module.choice(facts, "grade", choices=grades, default="standard")
    for name, quality, least, share, low_c, high_c in TOLERANCES:
        if name == kind and quality == grade:
            at_c = facts_module.number(facts, "temperature_c", low=low_c, high=high_c, unit="degC")
            value = max(least, share * abs(at_c))
            source = "iec60584" if grade.startswith("iec") else "astmE230"
            return {
                "tolerance": banded(value, unit="K", low=0.0, high=value, sources=[source], coverage=None)
            }
    raise UnknownName(
        field="grade",
        value=grade,
        reason="refusal.unknown_name",
        choices=[row[1] for row in TOLERANCES if row[0] == kind],
    )
