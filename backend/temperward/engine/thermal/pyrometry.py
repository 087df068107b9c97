"""How far a thermocouple may be out."""

from __future__ import annotations

# (type, class): least in K, share of the reading in degC (astmE230)
TOLERANCES = [
    ("K", "standard", 2.2, 0.0075),
    ("K", "special", 1.1, 0.004),
    ("N", "standard", 2.2, 0.0075),
    ("N", "special", 1.1, 0.004),
    ("J", "standard", 2.2, 0.0075),
    ("J", "special", 1.1, 0.004),
    ("S", "standard", 1.5, 0.0025),
    ("S", "special", 0.6, 0.001),
]


def thermocouple_tolerance_k(temperature_c: float, *, kind: str = "K", grade: str = "standard") -> float:
    """Tolerance of a new thermocouple: the greater of a fixed value and a share of the reading.

    >>> thermocouple_tolerance_k(800.0)
    6.0

    Reference: astmE230.
    """
    for name, quality, least, share in TOLERANCES:
        if name == kind and quality == grade:
            return max(least, share * temperature_c)
    raise ValueError(kind + " " + grade)
