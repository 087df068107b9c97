"""The colour a temper leaves on bright steel: a band, never a thermometer."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine.metallurgy.alloys import Stock
from temperward.engine.quantities import note


def colour_band(temperature_c: float) -> dict[str, Any]:
    """Return the colour to expect after an hour or more on bright plain carbon steel: always a band."""
    table = data_files.load("colours")["held_an_hour"]
    near = table["bands"][0]
    for band in table["bands"]:
        if temperature_c >= band["low_c"] - 6.0:
            near = band
    return {
        "colour": note("colour." + near["colour"]),
        "plus_minus_k": table["plus_minus_k"],
        "basis_s": table["basis_s"],
        "sources": table["sources"],
        "notes": [note("note.colour_is_rough")],
    }


def shows_colour(stock: Stock) -> bool:
    """Tell whether temper colours say anything: on plain carbon steel only (temperColours)."""
    alloy = stock.nominal
    return alloy.cr_pct + alloy.ni_pct + alloy.mo_pct + alloy.v_pct + alloy.w_pct < 0.3 and alloy.si_pct < 1.0
