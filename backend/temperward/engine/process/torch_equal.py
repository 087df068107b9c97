"""What a torch did in seconds, by its heat or by the colour that was seen, as an hour in the oven."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine import facts as facts_module
from temperward.engine.errors import MissingField
from temperward.engine.metallurgy.equivalents import (
    CONSTANT,
    CONSTANT_HIGH,
    CONSTANT_LOW,
    HOUR_S,
    equivalent_temperature_c,
)
from temperward.engine.quantities import banded, note

# hollomonJaffe1945 ends at 10 s; colder than 180 degC so short a time equals what is under its 100 degC.
LEAST_S, MOST_S = 10.0, 600.0  # hollomonJaffe1945; practice: longer is an oven, not a torch
LEAST_C, MOST_C = 180.0, 400.0  # temperColours: no colour is seen beyond


def colours() -> list[str]:
    """Return the colours a torch may be stopped at, the coolest first."""
    return [band["seen"] for band in data_files.load("colours")["first_seen"]["bands"]]


def colour_c(colour: str) -> float:
    """Return the middle of what the published tables print for a colour when it is first seen.

    >>> colour_c("brown")
    250.0

    Reference: temperColours; seven tables, 25 K to either side.
    """
    band = next(one for one in data_files.load("colours")["first_seen"]["bands"] if one["seen"] == colour)
    return float(band["low_c"] + band["high_c"]) / 2.0


def torch_equals(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `torch_equals`: the hour in the oven that so many seconds at a heat, or up to a colour, equal.

    Equation: Hollomon-Jaffe. In: degC, s, or a colour with its 25 K to either side. Valid 180-400 degC,
    10-600 s. Error: the band of the constants 15 to 20, with that of the colour.
    >>> equal = torch_equals({"temperature_c": 250, "torch_s": 10})["equals"]
    >>> round(equal["low"], 1), round(equal["high"], 1)
    (160.8, 183.1)

    Reference: hollomonJaffe1945, temperColours.
    """
    facts_module.only(facts, ["colour", "temperature_c", "torch_s"])
    torch_s = facts_module.number(facts, "torch_s", low=LEAST_S, high=MOST_S, unit="s")
    heats_c, sources = _heats_c(facts)
    ends = [
        equivalent_temperature_c(heat_c, hold_s=torch_s, in_s=HOUR_S, constant=constant)
        for heat_c in heats_c
        for constant in (CONSTANT_LOW, CONSTANT_HIGH)
    ]
    equals = banded(
        equivalent_temperature_c(heats_c[0], hold_s=torch_s, in_s=HOUR_S, constant=CONSTANT),
        unit="degC",
        low=min(ends),
        high=max(ends),
        sources=sources,
        notes=[note("note.constant_band")],
        coverage=None,
    )
    said = {"low_c": equals["low"], "high_c": equals["high"], "hold_s": HOUR_S}
    return {"equals": equals, "sentence": note("trouble.torch", said)}


def _heats_c(facts: dict[str, Any]) -> tuple[list[float], list[str]]:
    """Return the heat with its ends, and where they come from: what was measured goes before a colour."""
    if facts.get("temperature_c") is not None:
        heat_c = facts_module.number(facts, "temperature_c", low=LEAST_C, high=MOST_C, unit="degC")
        return [heat_c], ["hollomonJaffe1945"]
    if facts.get("colour") is None:
        raise MissingField(
            field="temperature_c", low=LEAST_C, high=MOST_C, unit="degC", reason="refusal.missing"
        )
    heat_c = colour_c(facts_module.choice(facts, "colour", choices=colours()))
    more_k = data_files.load("colours")["first_seen"]["plus_minus_k"]
    return [heat_c, heat_c - more_k, heat_c + more_k], ["hollomonJaffe1945", "temperColours"]
