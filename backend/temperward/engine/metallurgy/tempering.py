"""Hardness after tempering, and the temper that gives a wanted hardness."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine import facts as facts_module
from temperward.engine.errors import OutOfRange
from temperward.engine.metallurgy.alloys import Stock, stock_of
from temperward.engine.metallurgy.colours import colour_band, shows_colour
from temperward.engine.metallurgy.dissolved import dissolved_carbon_pct
from temperward.engine.metallurgy.equivalents import read_heats
from temperward.engine.metallurgy.hardness import (
    BY_EYE_EXTRA_HRC,
    MOST_HRC,
    POLYNOMIAL_MOST_CARBON_PCT,
    as_quenched_band,
    full_martensite_hrc,
)
from temperward.engine.metallurgy.tempering_models import (
    hottest_c,
    modelled_hrc,
    table_equivalent_c,
    table_for,
)
from temperward.engine.quantities import banded, note
from temperward.engine.thermal.oven import heat_up

KNIFE_LOW_C, KNIFE_HIGH_C = 150.0, 260.0  # embrittlement; practice: colder does little
AS_SHOWN_HRC = 0.05  # design: hardness is shown to a tenth, and what reads as the end is the end
MOST_TEMPERED_HRC = 67.5  # hollomonJaffe1945: the hardest after a short temper
USUAL_HEAT_C = 800.0  # practice: where only an analysis is given
LEAST_SLOPE_PER_K = 0.02  # design: a flatter piece of a table says nothing about temperature


def most_hrc(stock: Stock) -> float:
    """Return the hardness tempering starts from, no temper makes it harder: that of a steel out of the bath.

    An analysis with more than 0.69 % in solution starts from the hardest martensite measured.
    """
    if stock.row is not None:
        ready = as_quenched_band(stock, austenitise_c=stock.row["aim_c"], martensite_fraction=1.0)
        return float(ready["value"])
    dissolved = dissolved_carbon_pct(USUAL_HEAT_C, alloy=stock.nominal, row=None)
    return MOST_HRC if dissolved > POLYNOMIAL_MOST_CARBON_PCT else full_martensite_hrc(dissolved)


def tempered(stock: Stock, *, heats: list[list[float]], by_eye: bool = False) -> dict[str, Any]:
    """Return the hardness after these heats, with warnings in its notes."""
    hrc = modelled_hrc(stock, heats=heats)
    over_hrc = max(0.0, hrc["value"] - most_hrc(stock))
    hrc["value"] -= over_hrc
    hrc["low"] -= over_hrc  # what holds the value holds the band under it
    if by_eye:
        hrc["low"] -= BY_EYE_EXTRA_HRC
        hrc["notes"].append(note("note.by_eye_wider"))
    hrc["high"] = max(hrc["value"], min(hrc["high"], MOST_TEMPERED_HRC))
    return hrc


def warnings_for(stock: Stock, *, temperature_c: float) -> list[dict[str, Any]]:
    """Return the warnings about one tempering temperature: brittle range, too little."""
    data = data_files.load("tempering")
    shift = data["embrittlement"]["silicon_shift_k"] if stock.nominal.si_pct >= 1.5 else 0.0
    low_c, high_c = data["embrittlement"]["low_c"] + shift, data["embrittlement"]["high_c"] + shift
    found = []
    if low_c < temperature_c <= high_c:
        found.append(note("warning.embrittlement", {"low_c": low_c, "high_c": high_c}))
    if temperature_c < data["least_useful_c"]:
        found.append(note("warning.too_little", {"least_c": data["least_useful_c"]}))
    return found


def tempered_hardness(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `tempered_hardness`."""
    facts_module.only(facts, ["steel", "composition", "heats", "by_eye"])
    stock = stock_of(facts)
    heats = read_heats(facts)
    return {
        "hrc": tempered(stock, heats=heats, by_eye=facts_module.flag(facts, "by_eye")),
        "warnings": warnings_for(stock, temperature_c=hottest_c(heats)),
        "counted_heats": sum([1 for heat in facts["heats"] if not heat.get("began_above_65")]),
    }


def hrc_at(stock: Stock, *, temperature_c: float, hold_s: float, cycles: int) -> float:
    """Return the hardness after equal cycles at one temperature."""
    return float(tempered(stock, heats=[[temperature_c, hold_s]] * cycles)["value"])


def hottest_knife_c(stock: Stock, *, hold_s: float, cycles: int) -> float:
    """Return the hottest knife temper that is answered: a steel's own table may end sooner for long holds."""
    table = table_for(stock)
    most_c = KNIFE_HIGH_C
    while table is not None and most_c > KNIFE_LOW_C:
        if table_equivalent_c(table, heats=[[most_c, hold_s]] * cycles) <= table["points"][-1][0]:
            break
        most_c -= 1.0
    return most_c


def temperature_for_hrc(stock: Stock, *, target_hrc: float, hold_s: float, cycles: int) -> float:
    """Return the temperature that gives the target, by halving; refuse what 150-260 degC cannot give."""
    hardest = hrc_at(stock, temperature_c=KNIFE_LOW_C, hold_s=hold_s, cycles=cycles)
    most_c = hottest_knife_c(stock, hold_s=hold_s, cycles=cycles)
    softest = hrc_at(stock, temperature_c=most_c, hold_s=hold_s, cycles=cycles)
    if target_hrc > hardest + AS_SHOWN_HRC or target_hrc < softest - AS_SHOWN_HRC:
        raise OutOfRange(
            field="target_hrc",
            value=target_hrc,
            low=softest,
            high=hardest,
            unit="HRC",
            reason="refusal.target_too_hard" if target_hrc > hardest else "refusal.target_in_embrittlement",
        )
    low_c, high_c = KNIFE_LOW_C, most_c
    for _ in range(24):
        middle_c = (low_c + high_c) / 2.0
        if hrc_at(stock, temperature_c=middle_c, hold_s=hold_s, cycles=cycles) > target_hrc:
            low_c = middle_c
        else:
            high_c = middle_c
    return (low_c + high_c) / 2.0


def temper_for(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `temper_for`: set point, hold and cycles for a wanted hardness."""
    facts_module.only(facts, ["steel", "composition", "target_hrc", "hold_s", "cycles", "thickness_mm"])
    stock = stock_of(facts)
    target = facts_module.number(facts, "target_hrc", low=40.0, high=67.0, unit="HRC")
    hold_s = facts_module.number(facts, "hold_s", low=1800.0, high=86400.0, unit="s", default=7200.0)
    cycles = int(facts_module.number(facts, "cycles", low=1, high=3, unit="", default=2))
    plan = temper_plan(stock, target_hrc=target, hold_s=hold_s, cycles=cycles)
    if facts.get("thickness_mm") is not None:
        thickness_mm = facts_module.number(facts, "thickness_mm", low=0.5, high=12.0, unit="mm")
        plan["heat_up"] = heat_up(thickness_mm=thickness_mm, oven_c=plan["temperature"]["value"])
    return plan


def temper_plan(
    stock: Stock, *, target_hrc: float, hold_s: float = 7200.0, cycles: int = 2
) -> dict[str, Any]:
    """Return the temper that gives the target: temperature with band, what to expect, colour, warnings."""
    temperature_c = temperature_for_hrc(stock, target_hrc=target_hrc, hold_s=hold_s, cycles=cycles)
    expected = tempered(stock, heats=[[temperature_c, hold_s]] * cycles)
    cooler_c, hotter_c = max(KNIFE_LOW_C, temperature_c - 5.0), temperature_c + 5.0
    hotter_c = min(hotter_c, hottest_knife_c(stock, hold_s=hold_s, cycles=cycles))
    drop_hrc = hrc_at(stock, temperature_c=cooler_c, hold_s=hold_s, cycles=cycles)
    drop_hrc -= hrc_at(stock, temperature_c=hotter_c, hold_s=hold_s, cycles=cycles)
    per_k = drop_hrc / (hotter_c - cooler_c)
    per_k = max(per_k, LEAST_SLOPE_PER_K)
    warnings = warnings_for(stock, temperature_c=temperature_c)
    if stock.row is not None and not (
        stock.row["temper_low_c"] <= temperature_c <= stock.row["temper_high_c"]
    ):
        warnings.append(
            note(
                "warning.outside_usual_temper",
                {"low_c": stock.row["temper_low_c"], "high_c": stock.row["temper_high_c"]},
            )
        )
    return {
        "temperature": banded(
            temperature_c,
            unit="degC",
            low=max(KNIFE_LOW_C, temperature_c - (target_hrc - expected["low"]) / per_k),
            high=temperature_c + (expected["high"] - target_hrc) / per_k,
            sources=expected["sources"],
            notes=[note("note.start_low"), note("warning.too_little", {"least_c": KNIFE_LOW_C})],
        ),
        "hold_s": hold_s,
        "cycles": cycles,
        "expected": expected,
        "colour": colour_band(temperature_c) if shows_colour(stock) else None,
        "warnings": warnings,
    }
