"""Hardness out of the bath, and which test file must not cut it."""

from __future__ import annotations

from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.metallurgy.alloys import Stock, aim_c, composition_sources, row_for, stock_of
from temperward.engine.metallurgy.dissolved import dissolved_carbon_pct
from temperward.engine.metallurgy.transformation import refuse_cold_heat
from temperward.engine.quantities import banded, note

POLYNOMIAL_MOST_CARBON_PCT = 0.69  # astmA255: the polynomial falls beyond, which no steel does
AS_QUENCHED_BAND_HRC = 1.5  # astmA255 against hollomonJaffe1945
MOST_HRC = 67.0  # hollomonJaffe1945: the hardest martensite measured in carbon steel
OVER_PUBLISHED_HRC = 1.0  # design: nobody finds a steel more than a point above its published range
FILES_HRC = [65.0, 62.0, 58.0, 55.0, 50.0]  # saeJ864
FILE_MARGIN_HRC = 1.0  # saeJ864: a file cuts 1-2 points below its band
BY_EYE_EXTRA_HRC = 2.0  # practice: a heat judged by eye


def full_martensite_hrc(dissolved_pct: float) -> float:
    """Hardness of a structure that is martensite throughout.

    Equation: 33.087 + 50.723C + 33.662C2 - 2.7048C3 - 107.02C4 + 43.523C5, level above 0.69 %C. In: weight
    percent dissolved. Valid 0.10-1.1; error +-1.5 HRC.
    >>> round(full_martensite_hrc(0.60), 2), round(full_martensite_hrc(0.95), 1)
    (64.57, 65.8)

    Reference: astmA255; the level above 0.69 by hollomonJaffe1945 (66.5, 67.0, 66.5 at 0.74, 0.89, 0.98 %C).
    """
    c = min(dissolved_pct, POLYNOMIAL_MOST_CARBON_PCT)
    return 33.087 + c * (50.723 + c * (33.662 + c * (-2.7048 + c * (-107.02 + c * 43.523))))


def half_martensite_hrc(dissolved_pct: float) -> float:
    """Hardness of half martensite, half pearlite; level above 0.69 %C. Coefficients from memory (astmA255).

    >>> round(half_martensite_hrc(0.50), 1)
    46.8
    """
    c = min(dissolved_pct, POLYNOMIAL_MOST_CARBON_PCT)
    return 22.974 + c * (6.214 + c * (356.364 + c * (-1091.488 + c * (1464.88 - c * 750.441))))


def mixed_hrc(dissolved_pct: float, *, martensite_fraction: float) -> float:
    """Hardness with part of the section soft: straight pieces through all, nine tenths and half martensite.

    Nine tenths lose 5 HRC (hodgeOrehoski1946, from memory, +-1 at blade carbon); below half it falls to
    fine pearlite, 30-40 HRC (fromMemory).
    """
    full = full_martensite_hrc(dissolved_pct)
    half = half_martensite_hrc(dissolved_pct)
    if martensite_fraction >= 0.9:
        return full - 5.0 * (1.0 - martensite_fraction) / 0.1
    if martensite_fraction >= 0.5:
        return half + (full - 5.0 - half) * (martensite_fraction - 0.5) / 0.4
    pearlite = min(half, 25.0 + 15.0 * dissolved_pct)
    return pearlite + (half - pearlite) * martensite_fraction / 0.5


def as_quenched_band(
    stock: Stock, *, austenitise_c: float, martensite_fraction: float, by_eye: bool = False
) -> dict[str, Any]:
    """Return the hardness out of the bath: the model, and the steel's published range where there is one.

    A bar whose own analysis is not of its steel has no published range. Neither lies more than a point above
    that range, nor above 67 HRC.
    """
    dissolved = dissolved_carbon_pct(austenitise_c, alloy=stock.nominal, row=stock.row)
    value = mixed_hrc(dissolved, martensite_fraction=martensite_fraction)
    lost = full_martensite_hrc(dissolved) - value
    lean = dissolved_carbon_pct(austenitise_c, alloy=stock.lean, row=stock.row)
    low = min(value, mixed_hrc(lean, martensite_fraction=martensite_fraction)) - AS_QUENCHED_BAND_HRC
    high, most = value + AS_QUENCHED_BAND_HRC, MOST_HRC
    sources = ["astmA255", "hollomonJaffe1945"] + composition_sources(stock)
    notes = [note("note.level_above_069")] if dissolved > POLYNOMIAL_MOST_CARBON_PCT else []
    row = row_for(stock)
    if row is not None:
        low = min(low, row["as_quenched_low_hrc"] - lost)
        high = max(high, row["as_quenched_high_hrc"] - lost)
        most = min(most, row["as_quenched_high_hrc"] + OVER_PUBLISHED_HRC)
        if row["as_quenched_read"]:
            value = (row["as_quenched_low_hrc"] + row["as_quenched_high_hrc"]) / 2.0 - lost
        sources = sources + row["sources"]["as_quenched"]
    if by_eye:
        low -= BY_EYE_EXTRA_HRC
        notes.append(note("note.by_eye_wider"))
    most -= lost
    return banded(min(value, most), unit="HRC", low=low, high=min(high, most), sources=sources, notes=notes)


def file_that_must_not_cut(as_quenched: dict[str, Any]) -> float | None:
    """Return the hardest test file at least one point under the lower end of the band, or nothing."""
    for file_hrc in FILES_HRC:
        if file_hrc <= as_quenched["low"] - FILE_MARGIN_HRC:
            return file_hrc
    return None


def as_quenched_hardness(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `as_quenched_hardness`."""
    facts_module.only(facts, ["steel", "composition", "austenitise_c", "martensite_fraction", "by_eye"])
    stock = stock_of(facts)
    heat_c = aim_c(stock, facts)
    fraction = facts_module.number(facts, "martensite_fraction", low=0.0, high=1.0, unit="", default=1.0)
    refuse_cold_heat(stock, austenitise_c=heat_c)
    hrc = as_quenched_band(
        stock,
        austenitise_c=heat_c,
        martensite_fraction=fraction,
        by_eye=facts_module.flag(facts, "by_eye"),
    )
    return {
        "hrc": hrc,
        "file_that_must_not_cut": file_that_must_not_cut(hrc),
        "sources": ["saeJ864"],
    }
