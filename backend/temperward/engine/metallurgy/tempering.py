"""Hardness after tempering, and the temper that gives a wanted hardness."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import data_files
from temperward.engine import facts as facts_module
from temperward.engine.errors import OutOfRange, Refused
from temperward.engine.interpolate import along
from temperward.engine.metallurgy.alloys import Stock, stock_of
from temperward.engine.metallurgy.dissolved import dissolved_carbon_pct
from temperward.engine.metallurgy.equivalents import (
    CONSTANT,
    HOUR_S,
    equivalent_temperature_c,
    read_heats,
    total_hold_s,
)
from temperward.engine.metallurgy.hardness import as_quenched_band
from temperward.engine.quantities import banded, note

# What the fit rests on (temperingFit): 150-320 degC, 10 min to 24 h, 0.45-1.15 %C; the carbon term peaks
# at 0.95.
FIT_LOW_C, FIT_HIGH_C, FIT_LEAST_S, FIT_MOST_CARBON_PCT = 150.0, 320.0, 600.0, 0.95
FIT_PER_K, FIT_PER_DECADE = 0.0609, 1.938
PLAIN_BAND_HRC, ALLOY_BAND_HRC, SHORT_EXTRA_HRC = 2.0, 3.0, 2.0
MOST_SILICON_PCT = 0.6  # the fit reads 5-10 HRC low at 1.6 %Si (grangeBaughman1956): refused
KNIFE_LOW_C, KNIFE_HIGH_C = 150.0, 260.0


def plain_fit_hrc(temperature_c: float, *, hold_s: float, carbon_pct: float) -> float:
    """Hardness of plain carbon steel after one heat.

    Equation: 39.77 - 0.0609 (T - 200) - 1.938 log10(t) + 46.94C - 24.60C2, t in hours. Valid 150-320 degC,
    from 10 min, 0.45-1.15 %C (level above 0.95). Error +-2 HRC. In: degC, s, weight percent.
    >>> round(plain_fit_hrc(190.0, hold_s=7200.0, carbon_pct=0.84), 1)
    61.9

    Reference: temperingFit.
    """
    c = min(carbon_pct, FIT_MOST_CARBON_PCT)
    hours = math.log(hold_s / HOUR_S) / math.log(10.0)
    return 39.77 - FIT_PER_K * (temperature_c - 200.0) - FIT_PER_DECADE * hours + 46.94 * c - 24.60 * c * c


def fit_total_s(heats: list[list[float]], *, at_c: float) -> float:
    """Sum heats as time at one temperature by the fit's own trade of time for temperature.

    It equals a tempering constant of about 15 near 200 degC; with 17 a hotter last heat could read harder.
    """
    total = 0.0
    for temperature_c, hold_s in heats:
        total += hold_s * math.pow(10.0, (temperature_c - at_c) * FIT_PER_K / FIT_PER_DECADE)
    return total


def table_of(row: dict[str, Any] | None) -> dict[str, Any] | None:
    """Return the steel's own tempering table, if there is one."""
    if row is None:
        return None
    for table in data_files.load("tempering")["tables"]:
        if table["steel"] == row["designation"]:
            return table  # type: ignore[no-any-return]
    return None


def table_hrc(table: dict[str, Any], *, heats: list[list[float]]) -> float:
    """Read the table at the one temperature that tempers as much in the table's own hold."""
    return along(table["points"], table_equivalent_c(table, heats=heats))


def table_equivalent_c(table: dict[str, Any], *, heats: list[list[float]]) -> float:
    """Return the temperature that tempers as much in the table's own hold (constant 17)."""
    reference_c = 250.0
    total_s = total_hold_s(heats, at_c=reference_c, constant=CONSTANT)
    if total_s <= 0.0:
        return 0.0
    return equivalent_temperature_c(reference_c, hold_s=total_s, in_s=table["hold_s"], constant=CONSTANT)


def hottest_c(heats: list[list[float]]) -> float:
    """Return the highest temperature among the heats."""
    return max(heat[0] for heat in heats)


def fit_notes(heats: list[list[float]], *, total_s: float) -> list[dict[str, Any]]:
    """Return what the fit's limits make of these heats; refuse heats it does not reach."""
    hottest = hottest_c(heats)
    if hottest > FIT_HIGH_C or hottest < FIT_LOW_C:
        raise OutOfRange(
            field="heats.temperature_c",
            value=hottest,
            low=FIT_LOW_C,
            high=FIT_HIGH_C,
            unit="degC",
            reason="refusal.temper_range",
        )
    return [note("note.short_hold")] if total_s < FIT_LEAST_S else []


def modelled_hrc(stock: Stock, *, heats: list[list[float]]) -> dict[str, Any]:
    """Return hardness by the steel's table where there is one, else by the fit, with the band."""
    table = table_of(stock.row)
    if table is not None:
        equivalent_c = table_equivalent_c(table, heats=heats)
        most_c = table["points"][-1][0]
        if equivalent_c > most_c or equivalent_c < 100.0:
            raise OutOfRange(
                field="heats.temperature_c",
                value=hottest_c(heats),
                low=100.0,
                high=most_c,
                unit="degC",
                reason="refusal.temper_range",
            )
        return table_answer(table, heats=heats)
    alloy = stock.nominal
    if alloy.si_pct > MOST_SILICON_PCT:
        raise Refused(
            field="composition.si",
            value=alloy.si_pct,
            low=0.0,
            high=MOST_SILICON_PCT,
            unit="pct",
            reason="refusal.silicon_temper",
        )
    return fit_answer(stock, heats=heats)


def table_answer(table: dict[str, Any], *, heats: list[list[float]]) -> dict[str, Any]:
    """Return the table's hardness with its band."""
    value = table_hrc(table, heats=heats)
    half = table["band_hrc"]
    return banded(value, unit="HRC", low=value - half, high=value + half, sources=list(table["sources"]))


def fit_answer(stock: Stock, *, heats: list[list[float]]) -> dict[str, Any]:
    """Return the fit's hardness; the steel's carbon range goes into the band."""
    at_c = hottest_c(heats)
    total_s = fit_total_s(heats, at_c=at_c)
    notes = fit_notes(heats, total_s=total_s)
    carbons = [stock.lean.c_pct, stock.nominal.c_pct, stock.rich.c_pct]
    values = [plain_fit_hrc(at_c, hold_s=total_s, carbon_pct=c) for c in carbons]
    alloyed = stock.nominal.cr_pct + stock.nominal.ni_pct + stock.nominal.mo_pct + stock.nominal.v_pct > 0.3
    half = ALLOY_BAND_HRC if alloyed else PLAIN_BAND_HRC
    half += SHORT_EXTRA_HRC if notes else 0.0
    if alloyed:
        notes.append(note("note.alloy_wider"))
    below = math.sqrt(half * half + (values[1] - min(values)) ** 2)
    above = math.sqrt(half * half + (max(values) - values[1]) ** 2)
    return banded(
        values[1],
        unit="HRC",
        low=values[1] - below,
        high=values[1] + above,
        sources=["temperingFit", "hollomonJaffe1945", "grangeBaughman1956"],
        notes=notes,
    )


def most_hrc(stock: Stock) -> float:
    """Return the hardness tempering starts from: no temper makes it harder."""
    if stock.row is not None:
        ready = as_quenched_band(stock, austenitise_c=stock.row["aim_c"], martensite_fraction=1.0)
        return float(ready["high"])
    dissolved = dissolved_carbon_pct(800.0, alloy=stock.nominal, row=None)
    return 67.0 if dissolved > 0.6 else 65.0  # hollomonJaffe1945: never above 67 as quenched


def tempered(stock: Stock, *, heats: list[list[float]], by_eye: bool = False) -> dict[str, Any]:
    """Return the hardness after these heats, with warnings in its notes."""
    hrc = modelled_hrc(stock, heats=heats)
    top = most_hrc(stock)
    hrc["value"] = min(hrc["value"], top)
    if by_eye:
        hrc["low"] -= 2.0
        hrc["notes"].append(note("note.by_eye_wider"))
    hrc["high"] = max(hrc["value"], min(hrc["high"], 67.5))
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
        "counted_heats": len(heats),
    }


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


def hrc_at(stock: Stock, *, temperature_c: float, hold_s: float, cycles: int) -> float:
    """Return the hardness after equal cycles at one temperature."""
    heats = [[temperature_c, hold_s]] * cycles
    return float(modelled_hrc(stock, heats=heats)["value"])


def temperature_for_hrc(stock: Stock, *, target_hrc: float, hold_s: float, cycles: int) -> float:
    """Return the temperature that gives the target, by halving; refuse what 150-260 degC cannot give."""
    hardest = hrc_at(stock, temperature_c=KNIFE_LOW_C, hold_s=hold_s, cycles=cycles)
    softest = hrc_at(stock, temperature_c=KNIFE_HIGH_C, hold_s=hold_s, cycles=cycles)
    if target_hrc > hardest or target_hrc < softest:
        raise OutOfRange(
            field="target_hrc",
            value=target_hrc,
            low=softest,
            high=hardest,
            unit="HRC",
            reason="refusal.target_too_hard" if target_hrc > hardest else "refusal.target_in_embrittlement",
        )
    low_c, high_c = KNIFE_LOW_C, KNIFE_HIGH_C
    for _ in range(24):
        middle_c = (low_c + high_c) / 2.0
        if hrc_at(stock, temperature_c=middle_c, hold_s=hold_s, cycles=cycles) > target_hrc:
            low_c = middle_c
        else:
            high_c = middle_c
    return (low_c + high_c) / 2.0


def temper_for(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `temper_for`: set point, hold and cycles for a wanted hardness."""
    facts_module.only(facts, ["steel", "composition", "target_hrc", "hold_s", "cycles"])
    stock = stock_of(facts)
    target = facts_module.number(facts, "target_hrc", low=40.0, high=67.0, unit="HRC")
    hold_s = facts_module.number(facts, "hold_s", low=1800.0, high=86400.0, unit="s", default=7200.0)
    cycles = int(facts_module.number(facts, "cycles", low=1, high=3, unit="", default=2))
    return temper_plan(stock, target_hrc=target, hold_s=hold_s, cycles=cycles)


def temper_plan(
    stock: Stock, *, target_hrc: float, hold_s: float = 7200.0, cycles: int = 2
) -> dict[str, Any]:
    """Return the temper that gives the target: temperature with band, what to expect, colour, warnings."""
    temperature_c = temperature_for_hrc(stock, target_hrc=target_hrc, hold_s=hold_s, cycles=cycles)
    expected = tempered(stock, heats=[[temperature_c, hold_s]] * cycles)
    per_k = (
        hrc_at(stock, temperature_c=temperature_c - 5.0, hold_s=hold_s, cycles=cycles)
        - hrc_at(stock, temperature_c=temperature_c + 5.0, hold_s=hold_s, cycles=cycles)
    ) / 10.0
    half_k = (expected["high"] - expected["low"]) / 2.0 / max(per_k, 0.02)
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
            low=temperature_c - half_k,
            high=temperature_c + half_k,
            sources=expected["sources"],
            notes=[note("note.start_low")],
        ),
        "hold_s": hold_s,
        "cycles": cycles,
        "expected": expected,
        "colour": colour_band(temperature_c) if shows_colour(stock) else None,
        "warnings": warnings,
    }
