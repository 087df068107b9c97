"""The seconds after the bath in which a blade may still be straightened."""

from __future__ import annotations

from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.metallurgy.alloys import Stock, aim_c, row_for, stock_of, stock_of_row
from temperward.engine.metallurgy.martensite import martensite_start, temperature_at_fraction_c
from temperward.engine.metallurgy.transformation import refuse_cold_heat
from temperward.engine.quantities import banded, note
from temperward.engine.thermal.bath_hold import bath_hold_s
from temperward.engine.thermal.still_air import HAND_WARM_C, warm_cooling_s

BEND_FRACTION, GENTLE_FRACTION, GENTLE_LEAST_C = 0.10, 0.50, 150.0  # practice
LIFT_BAND_K = 30.0  # design: a lift 30 K hotter or colder than meant
NO_WINDOW_BELOW_MS_K = 10.0  # design


def gentle_end_c(ms_c: float) -> float:
    """Temperature at which to stop bending: half martensite or 150 degC, whichever is hotter.

    >>> round(gentle_end_c(221.0)), round(gentle_end_c(200.0))
    (158, 150)
    """
    return max(temperature_at_fraction_c(GENTLE_FRACTION, ms_c=ms_c), GENTLE_LEAST_C)


def seconds_to(
    to_c: float, *, thickness_mm: float, from_c: float, ambient_c: float, still_air: bool
) -> float:
    """Time to cool to a temperature, in still air or clamped between plates."""
    if to_c >= from_c:
        return 0.0
    if still_air:
        return warm_cooling_s(thickness_mm=thickness_mm, from_c=from_c, to_c=to_c, ambient_c=ambient_c)
    return bath_hold_s("plates", thickness_mm=thickness_mm, from_c=from_c, bath_c=ambient_c, to_c=to_c)


def window_of(
    *,
    ms_c: float,
    thickness_mm: float,
    from_c: float,
    ambient_c: float = 20.0,
    still_air: bool = True,
    ms_high_c: float | None = None,
) -> dict[str, Any]:
    """Return the window in plain numbers, counted from the lift.

    `bend_safe_s` runs on ms_high_c where that is hotter: a published measurement above the model's Ms.

    Equation: cooling times to Ms, to 10 % and 50 % martensite (or 150 degC) and to 65 degC, without the heat
    the change gives off (with it 1.3-2 times longer). Bending never ends later than
    gentle bending. `open` is false for a lift below Ms - 10.
    Reference: koistinenMarburger1959, radiation, quenchHtc.
    """
    gentle_c = gentle_end_c(ms_c)
    bend_c = max(
        temperature_at_fraction_c(BEND_FRACTION, ms_c=ms_c), gentle_c
    )  # Ms low: 150 degC comes first
    half_c = temperature_at_fraction_c(GENTLE_FRACTION, ms_c=ms_c)
    times = {}
    for name, lift in [("", from_c), ("_early", from_c - LIFT_BAND_K), ("_late", from_c + LIFT_BAND_K)]:
        for what, to_c in [("to_ms", ms_c), ("bend", bend_c), ("gentle", gentle_c)]:
            times[what + name + "_s"] = seconds_to(
                to_c, thickness_mm=thickness_mm, from_c=lift, ambient_c=ambient_c, still_air=still_air
            )
    safe_ms_c = ms_c if ms_high_c is None else max(ms_c, ms_high_c)
    safe_c = max(temperature_at_fraction_c(BEND_FRACTION, ms_c=safe_ms_c), gentle_c)
    times["bend_safe_s"] = seconds_to(
        safe_c, thickness_mm=thickness_mm, from_c=from_c, ambient_c=ambient_c, still_air=still_air
    )
    times["half_s"] = seconds_to(
        half_c, thickness_mm=thickness_mm, from_c=from_c, ambient_c=ambient_c, still_air=still_air
    )
    times["hand_warm_s"] = seconds_to(
        HAND_WARM_C, thickness_mm=thickness_mm, from_c=from_c, ambient_c=ambient_c, still_air=still_air
    )
    answer: dict[str, Any] = {
        "open": from_c >= ms_c - NO_WINDOW_BELOW_MS_K,
        "ms_c": ms_c,
        "bend_end_c": bend_c,
        "half_c": half_c,
        "gentle_end_c": gentle_c,
        "lift_c": from_c,
    }
    answer.update(times)
    return answer


def straightening_window(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `straightening_window`."""
    facts_module.only(
        facts,
        ["steel", "composition", "austenitise_c", "thickness_mm", "from_c", "still_air", "ambient_c", "ms_c"],
    )
    stock = stock_of(facts)
    thickness_mm = facts_module.number(facts, "thickness_mm", low=0.5, high=12.0, unit="mm")
    from_c = facts_module.number(facts, "from_c", low=100.0, high=350.0, unit="degC")
    ambient_c = facts_module.number(facts, "ambient_c", low=-20.0, high=45.0, unit="degC", default=20.0)
    still_air = facts_module.flag(facts, "still_air", default=True)
    ms, safe_ms_c = ms_for_window(facts, stock)
    plain = window_of(
        ms_c=ms["value"],
        thickness_mm=thickness_mm,
        from_c=from_c,
        ambient_c=ambient_c,
        still_air=still_air,
        ms_high_c=safe_ms_c,
    )
    return window_answer(plain, ms=ms)


def ms_for_window(facts: dict[str, Any], stock: Stock) -> tuple[dict[str, Any], float | None]:
    """Return Ms, the smith's own when given, else the model's; and the highest measured one, if any."""
    if facts.get("ms_c") is not None:
        given = facts_module.number(facts, "ms_c", low=100.0, high=350.0, unit="degC")
        own = banded(given, unit="degC", low=given, high=given, sources=["millAnalysis"], coverage=None)
        return own, None
    default = None
    if stock.row is None and facts.get("austenitise_c") is None:
        default = 810.0  # practice: the usual heat of carbon steel, when only an analysis is given
    heat_c = default if default is not None else aim_c(stock, facts)
    refuse_cold_heat(stock, austenitise_c=heat_c)
    ms = martensite_start(stock, austenitise_c=heat_c)
    return ms, measured_ms_c(stock, ms_c=ms["value"], austenitise_c=heat_c)


def measured_ms_c(stock: Stock, *, ms_c: float, austenitise_c: float) -> float | None:
    """Return the highest measured Ms of the steel; of a bar with its own analysis, as far over its model.

    Nothing where no start was measured, or the analysis is not of the steel. Reference: msDatabase2022.
    """
    row = row_for(stock)
    if row is None or row["ms_measured_high_c"] is None:
        return None
    measured: float = row["ms_measured_high_c"]
    if not stock.own_analysis:
        return measured
    usual: float = martensite_start(stock_of_row(row), austenitise_c=austenitise_c)["value"]
    return ms_c + max(0.0, measured - usual)


def window_answer(plain: dict[str, Any], *, ms: dict[str, Any]) -> dict[str, Any]:
    """Return the window as banded times; the band is a lift 30 K hotter or colder."""
    sources = ["koistinenMarburger1959", "radiation", "quenchHtc"]
    notes = [note("note.latent_heat_longer")]
    answer: dict[str, Any] = {"open": plain["open"], "ms": ms, "lift_c": plain["lift_c"]}
    if not plain["open"]:
        notes = [note("note.no_window")]
    for name, key in [("to_ms", "to_ms"), ("to_10_pct", "bend"), ("gentle", "gentle")]:
        answer[name] = banded(
            plain[key + "_s"],
            unit="s",
            low=plain[key + "_early_s"],
            high=plain[key + "_late_s"],
            sources=sources,
            notes=notes,
            coverage=None,
        )
    answer["to_10_pct_safe_s"] = plain["bend_safe_s"]
    answer["to_50_pct_s"] = plain["half_s"]
    answer["to_hand_warm_s"] = plain["hand_warm_s"]
    answer["bend_end_c"] = plain["bend_end_c"]
    answer["gentle_end_c"] = plain["gentle_end_c"]
    answer["sources"] = sources
    return answer
