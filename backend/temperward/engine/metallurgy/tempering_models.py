"""The two models of tempering: the plain-carbon fit, and the steels' own tables."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import data_files
from temperward.engine.errors import OutOfRange, Refused
from temperward.engine.interpolate import along
from temperward.engine.metallurgy.alloys import Stock, row_for
from temperward.engine.metallurgy.dissolved import usual_pct
from temperward.engine.metallurgy.equivalents import (
    CONSTANT,
    HOUR_S,
    ROUNDING,
    equivalent_temperature_c,
    total_hold_s,
)
from temperward.engine.quantities import banded, note

# What the fit rests on (temperingFit): 150-320 degC, 10 min to 24 h, 0.45-1.15 %C.
FIT_LOW_C, FIT_HIGH_C, FIT_LEAST_S, FIT_MOST_S = 150.0, 320.0, 600.0, 86400.0
TABLE_LOW_C = 100.0  # design: colder than that no sheet tempers
FIT_LEAST_CARBON_PCT = 0.44  # temperingFit: 0.45, less a rounding
FIT_MOST_CARBON_PCT = 0.95  # temperingFit: the carbon term peaks here
FIT_PER_K, FIT_PER_DECADE = 0.0609, 1.938  # temperingFit: HRC for a kelvin, and for ten times as long
# How far published rows lie from temperingFit: plain steels, alloyed (penha2010), and holds under its own.
PLAIN_BAND_HRC, ALLOY_BAND_HRC, SHORT_EXTRA_HRC = 2.0, 3.0, 2.0
LONG_EXTRA_HRC = 2.0  # design: over 24 h no row stands behind the fit, so as much as under ten minutes
MOST_S = 3.0 * FIT_MOST_S  # design: three tempers of a day
HOT_EXTRA_HRC = 2.0  # penha2010: over 320 degC the rows of 52100 and 6150 scatter by so much more
ALLOYED_PCT = 0.3  # design: more Cr + Ni + Mo + V than a plain carbon steel carries
MOST_SILICON_PCT = 0.6  # grangeBaughman1956: the fit reads 5-10 HRC low at 1.6 %Si, so beyond is refused


def plain_fit_hrc(temperature_c: float, *, hold_s: float, carbon_pct: float) -> float:
    """Hardness of plain carbon steel after one heat.

    Equation: 39.77 - 0.0609 (T - 200) - 1.938 log10(t) + 46.94C - 24.60C2, t in hours. Valid 150-320 degC,
    from 10 min, 0.45-1.15 %C (level above 0.95). Error +-2 HRC. In: degC, s, weight percent.
    >>> round(plain_fit_hrc(190.0, hold_s=7200.0, carbon_pct=0.84), 1)
    61.9

    Reference: temperingFit.
    """
    hours = math.log(hold_s / HOUR_S) / math.log(10.0)
    return 39.77 - FIT_PER_K * (temperature_c - 200.0) - FIT_PER_DECADE * hours + by_carbon_hrc(carbon_pct)


def by_carbon_hrc(carbon_pct: float) -> float:
    """What the bar's carbon adds to tempered hardness: the carbon terms of the fit, level above 0.95 %.

    >>> round(by_carbon_hrc(0.90) - by_carbon_hrc(0.45), 2)
    6.18

    Reference: temperingFit.
    """
    c = min(carbon_pct, FIT_MOST_CARBON_PCT)
    return 46.94 * c - 24.60 * c * c


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


def table_for(stock: Stock) -> dict[str, Any] | None:
    """Return the table that stands for this bar: none where its own analysis is not alloyed as its steel is.

    Carbon alone moves the table (`table_answer`), so it does not decide.
    """
    return table_of(row_for(stock, with_carbon=False))


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
    return [note("note.short_hold")] if total_s < FIT_LEAST_S else long_notes(total_s)


def long_notes(total_s: float) -> list[dict[str, Any]]:
    """Return that holds add up to more than anybody tested; refuse more than three days."""
    if total_s > MOST_S * (1.0 + ROUNDING):
        raise OutOfRange(
            field="heats.hold_s",
            value=total_s,
            low=FIT_LEAST_S,
            high=MOST_S,
            unit="s",
            reason="refusal.temper_time",
        )
    return [note("note.long_hold")] if total_s > FIT_MOST_S * (1.0 + ROUNDING) else []


def modelled_hrc(stock: Stock, *, heats: list[list[float]]) -> dict[str, Any]:
    """Return hardness by the steel's table where there is one, else by the fit, with the band."""
    table = table_for(stock)
    if table is not None:
        equivalent_c = table_equivalent_c(table, heats=heats)
        most_c = table["points"][-1][0]
        if equivalent_c > most_c or min(equivalent_c, hottest_c(heats)) < TABLE_LOW_C:
            raise OutOfRange(
                field="heats.temperature_c",
                value=hottest_c(heats),
                low=TABLE_LOW_C,
                high=most_c,
                unit="degC",
                reason="refusal.temper_range",
            )
        return table_answer(table, stock=stock, heats=heats)
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


def table_answer(table: dict[str, Any], *, stock: Stock, heats: list[list[float]]) -> dict[str, Any]:
    """Return the table's hardness with its band, moved by the bar's carbon as the fit is.

    An own analysis moves the value; the steel's range of carbon goes into the band.
    """
    value = table_hrc(table, heats=heats)
    sources = list(table["sources"])
    if stock.row is not None and stock.own_analysis:
        value += by_carbon_hrc(stock.nominal.c_pct) - by_carbon_hrc(usual_pct("c", row=stock.row))
        sources += ["temperingFit", "millAnalysis"]
    ends = [by_carbon_hrc(one.c_pct) - by_carbon_hrc(stock.nominal.c_pct) for one in [stock.lean, stock.rich]]
    total_s = total_hold_s(heats, at_c=hottest_c(heats), constant=CONSTANT)
    short = total_s < FIT_LEAST_S * (1.0 - ROUNDING)
    longer = long_notes(total_s)
    hot = hottest_c(heats) > FIT_HIGH_C
    extra_hrc = (SHORT_EXTRA_HRC if short else 0.0) + (HOT_EXTRA_HRC if hot else 0.0)
    if longer:
        extra_hrc += LONG_EXTRA_HRC
    if short and hot:
        extra_hrc += SHORT_EXTRA_HRC
    return banded(
        value,
        unit="HRC",
        low=value - math.sqrt((table["below_hrc"] + extra_hrc) ** 2 + min(ends) ** 2),
        high=value + math.sqrt((table["above_hrc"] + extra_hrc) ** 2 + max(ends) ** 2),
        sources=sources,
        notes=([note("note.short_hold")] if short else longer)
        + ([note("note.over_knife_temper")] if hot else []),
    )


def fit_answer(stock: Stock, *, heats: list[list[float]]) -> dict[str, Any]:
    """Return the fit's hardness; the steel's carbon range goes into the band."""
    if stock.nominal.c_pct < FIT_LEAST_CARBON_PCT:
        raise OutOfRange(
            field="composition.c",
            value=stock.nominal.c_pct,
            low=FIT_LEAST_CARBON_PCT,
            high=1.10,
            unit="pct",
            reason="refusal.temper_range",
        )
    at_c = hottest_c(heats)
    total_s = fit_total_s(heats, at_c=at_c)
    notes = fit_notes(heats, total_s=total_s)
    carbons = [stock.lean.c_pct, stock.nominal.c_pct, stock.rich.c_pct]
    values = [plain_fit_hrc(at_c, hold_s=total_s, carbon_pct=c) for c in carbons]
    short_hrc = SHORT_EXTRA_HRC if notes else 0.0  # as much for a hold that is too long
    down_hrc, up_hrc, sources = fit_band(stock, notes=notes)
    below = math.sqrt((down_hrc + short_hrc) ** 2 + (values[1] - min(values)) ** 2)
    above = math.sqrt((up_hrc + short_hrc) ** 2 + (max(values) - values[1]) ** 2)
    return banded(
        values[1],
        unit="HRC",
        low=values[1] - below,
        high=values[1] + above,
        sources=sources,
        notes=notes,
    )


def fit_band(stock: Stock, *, notes: list[dict[str, Any]]) -> tuple[float, float, list[str]]:
    """Return how far published hardness lies below and above the fit, with sources."""
    sources = ["temperingFit", "hollomonJaffe1945", "grangeBaughman1956"]
    alloy = stock.nominal
    if alloy.cr_pct + alloy.ni_pct + alloy.mo_pct + alloy.v_pct <= ALLOYED_PCT:
        return PLAIN_BAND_HRC, PLAIN_BAND_HRC, sources
    notes.append(note("note.alloy_wider"))
    for band in data_files.load("tempering")["fit_bands"]:
        row = row_for(stock, with_carbon=False)
        if row is not None and band["steel"] == row["designation"]:
            return band["below_hrc"], band["above_hrc"], sources + band["sources"]
    return ALLOY_BAND_HRC, ALLOY_BAND_HRC, sources
