"""Tempering time against tempering temperature."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import MissingField, OutOfRange, Refused
from temperward.engine.quantities import ZERO_CELSIUS_K, banded, kelvin, note

# Constant of the tempering parameter for hours: 17 fits 0.5-1.0 %C, fits of others lie at 15-20
# (hollomonJaffe1945, grangeBaughman1956).
CONSTANT, CONSTANT_LOW, CONSTANT_HIGH = 17.0, 15.0, 20.0
LEAST_S = 0.001  # a thousandth of a second tempers nothing, and its logarithm ends somewhere (source: design)
HOUR_S = 3600.0
RAMP_PIECES = 120  # design: a ramp to 200 degC comes out within 1 % of the smooth one
ROUNDING = 1e-9  # definition: carried to and fro, a day is a day to so much
# What the parameter is used for here (hollomonJaffe1945): 100-700 degC, 10 s to 24 h.
LEAST_HEAT_C, MOST_HEAT_C, LEAST_HOLD_S, MOST_HOLD_S = 100.0, 700.0, 10.0, 86400.0


def tempering_parameter_k(temperature_c: float, *, hold_s: float, constant: float) -> float:
    """One number for heat and time together, in kelvin.

    Equation: P = (T + 273.15) (C + log10 t), t in hours. Valid 10 s to 24 h, 100-700 degC.
    >>> round(tempering_parameter_k(200.0, hold_s=7200.0, constant=20.0))
    9605

    Reference: hollomonJaffe1945.
    """
    return kelvin(temperature_c) * (constant + math.log(hold_s / HOUR_S) / math.log(10.0))


def equivalent_hold_s(temperature_c: float, *, hold_s: float, at_c: float, constant: float) -> float:
    """Time at another temperature that tempers as much.

    >>> round(equivalent_hold_s(190.0, hold_s=3600.0, at_c=205.0, constant=17.0) / 3600.0, 4)
    0.2929
    """
    parameter = tempering_parameter_k(temperature_c, hold_s=hold_s, constant=constant)
    power: float = math.pow(10.0, parameter / kelvin(at_c) - constant)
    return HOUR_S * power


def equivalent_temperature_c(temperature_c: float, *, hold_s: float, in_s: float, constant: float) -> float:
    """Temperature at which another time tempers as much.

    >>> round(equivalent_temperature_c(200.0, hold_s=7200.0, in_s=10.0, constant=15.0), 1)
    308.6
    """
    parameter = tempering_parameter_k(temperature_c, hold_s=hold_s, constant=constant)
    return parameter / (constant + math.log(in_s / HOUR_S) / math.log(10.0)) - ZERO_CELSIUS_K


def total_hold_s(heats: list[list[float]], *, at_c: float, constant: float) -> float:
    """Carry heats, each [temperature_c, hold_s], in the order they happened, as time at one temperature.

    Equation: what came before is turned into time at the next temperature, then the next hold is added; so
    it does not matter into how many pieces a ramp is cut. Adding up the pieces alone would count too much.
    >>> round(total_hold_s([[200.0, 3600.0], [200.0, 3600.0]], at_c=200.0, constant=17.0))
    7200

    Reference: hollomonJaffe1945.
    """
    carried_s = 0.0
    before_c = at_c
    for temperature_c, hold_s in heats:
        if carried_s > LEAST_S:
            carried_s = equivalent_hold_s(before_c, hold_s=carried_s, at_c=temperature_c, constant=constant)
        carried_s += hold_s
        before_c = temperature_c
    if carried_s <= LEAST_S:
        return 0.0
    return equivalent_hold_s(before_c, hold_s=carried_s, at_c=at_c, constant=constant)


def ramp_steps(*, from_c: float, to_c: float, minutes: float, steps: int = RAMP_PIECES) -> list[list[float]]:
    """Cut a steady ramp into short heats, for heat-up and cooling."""
    each_s = minutes * 60.0 / steps
    width = (to_c - from_c) / steps
    return [[from_c + (k + 0.5) * width, each_s] for k in range(steps)]


def read_heat(heat: Any, *, least_c: float) -> list[list[float]]:
    """Return one heat as its pieces [temperature_c, hold_s]; none for a cycle begun above 65 degC."""
    if not isinstance(heat, dict):
        raise MissingField(field="heats.temperature_c", unit="degC", reason="refusal.missing")
    facts_module.only(heat, ["temperature_c", "hold_s", "from_c", "began_above_65"])
    temperature_c = facts_module.number(
        heat, "temperature_c", low=least_c, high=MOST_HEAT_C, unit="degC", of="heats"
    )
    hold_s = facts_module.number(heat, "hold_s", low=1.0, high=172800.0, unit="s", of="heats")
    from_c = facts_module.number(
        heat, "from_c", low=-20.0, high=MOST_HEAT_C, unit="degC", of="heats", default=temperature_c
    )
    if facts_module.flag(heat, "began_above_65"):
        return []
    if from_c == temperature_c:
        return [[temperature_c, hold_s]]
    return ramp_steps(from_c=from_c, to_c=temperature_c, minutes=hold_s / 60.0)


def read_heats(facts: dict[str, Any], *, most: int = 200, least_c: float = 20.0) -> list[list[float]]:
    """Return the heats as [temperature_c, hold_s]; a cycle begun above 65 degC does not count.

    A heat with from_c is a steady ramp from there to temperature_c, in the time of its hold.
    """
    given = facts.get("heats")
    if not isinstance(given, list) or not given:
        raise MissingField(field="heats", reason="refusal.missing")
    if len(given) > most:
        raise Refused(field="heats", value=len(given), low=1, high=most, reason="refusal.too_many")
    heats: list[list[float]] = []
    for heat in given:
        heats += read_heat(heat, least_c=least_c)
    if len(heats) > most * RAMP_PIECES // 10:
        raise Refused(field="heats", value=len(given), low=1, high=most // 10, reason="refusal.too_many")
    if not heats:
        raise Refused(field="heats", reason="refusal.no_cycle_counts")
    return heats


def interruption_steps(
    *, set_point_c: float, held_s: float, time_constant_s: float, away_s: float, ambient_c: float = 20.0
) -> list[list[float]]:
    """Heats of a hold that a power cut ended: the time held, then the oven cooling down to 100 degC."""
    steps = [[set_point_c, held_s]]
    slices = 240
    each_s = away_s / slices
    for k in range(slices):
        lost = math.exp(-(k + 0.5) * each_s / time_constant_s)
        temperature_c = ambient_c + (set_point_c - ambient_c) * lost
        if temperature_c >= 100.0:
            steps.append([temperature_c, each_s])
    return steps


def banded_total(heats: list[list[float]], *, at_c: float, constant: float) -> dict[str, Any]:
    """Return the equivalent time with the band that the constants 15 to 20 span."""
    values = [total_hold_s(heats, at_c=at_c, constant=c) for c in [constant, CONSTANT_LOW, CONSTANT_HIGH]]
    return banded(
        values[0],
        unit="s",
        low=min(values),
        high=max(values),
        sources=["hollomonJaffe1945", "grangeBaughman1956"],
        notes=[note("note.constant_band")],
        coverage=None,
    )


def banded_temperature(heats: list[list[float]], *, hold_s: float, constant: float) -> dict[str, Any]:
    """Return the equivalent temperature with the band that the constants 15 to 20 span."""
    values = []
    hottest_c = max(heat[0] for heat in heats)
    for c in [constant, CONSTANT_LOW, CONSTANT_HIGH]:
        total_s = total_hold_s(heats, at_c=hottest_c, constant=c)
        values.append(equivalent_temperature_c(hottest_c, hold_s=total_s, in_s=hold_s, constant=c))
    return banded(
        values[0],
        unit="degC",
        low=min(values),
        high=max(values),
        sources=["hollomonJaffe1945", "grangeBaughman1956"],
        notes=[note("note.constant_band")],
        coverage=None,
    )


def refuse_outside(value: float, *, low: float, high: float, unit: str, field: str) -> None:
    """Refuse what the tempering parameter was not made for."""
    if value < low * (1.0 - ROUNDING) or value > high * (1.0 + ROUNDING):
        raise OutOfRange(
            field=field, value=value, low=low, high=high, unit=unit, reason="refusal.too_far_to_equal"
        )


def temper_equivalent(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `temper_equivalent`: the heats as one time at a temperature, or one temperature for a time.

    Heats and answer alike within 100-700 degC and 10 s to 24 h; a piece of a ramp may be shorter than that.
    """
    facts_module.only(facts, ["heats", "at_c", "hold_s", "constant"])
    constant = facts_module.number(facts, "constant", low=10.0, high=25.0, unit="", default=CONSTANT)
    heats = read_heats(facts, least_c=LEAST_HEAT_C)
    hottest_c = max(heat[0] for heat in heats)
    total_s = total_hold_s(heats, at_c=hottest_c, constant=constant)
    refuse_outside(total_s, low=LEAST_HOLD_S, high=MOST_HOLD_S, unit="s", field="heats.hold_s")
    answer: dict[str, Any] = {"constant": constant}
    if facts.get("at_c") is None and facts.get("hold_s") is None:
        raise MissingField(field="at_c", low=100.0, high=700.0, unit="degC", reason="refusal.missing")
    if facts.get("at_c") is not None:
        ends = [
            equivalent_temperature_c(hottest_c, hold_s=total_s, in_s=in_s, constant=constant)
            for in_s in [MOST_HOLD_S, LEAST_HOLD_S]
        ]
        low_c, high_c = max(LEAST_HEAT_C, ends[0]), min(MOST_HEAT_C, ends[1])
        at_c = facts_module.number(facts, "at_c", low=LEAST_HEAT_C, high=MOST_HEAT_C, unit="degC")
        refuse_outside(at_c, low=low_c, high=high_c, unit="degC", field="at_c")
        answer["hold"] = banded_total(heats, at_c=at_c, constant=constant)
    if facts.get("hold_s") is not None:
        hold_s = facts_module.number(facts, "hold_s", low=LEAST_HOLD_S, high=MOST_HOLD_S, unit="s")
        found_c = equivalent_temperature_c(hottest_c, hold_s=total_s, in_s=hold_s, constant=constant)
        if found_c < LEAST_HEAT_C or found_c > MOST_HEAT_C:
            ends = [
                equivalent_hold_s(hottest_c, hold_s=total_s, at_c=at_c, constant=constant)
                for at_c in [MOST_HEAT_C, LEAST_HEAT_C]
            ]
            low_s, high_s = max(LEAST_HOLD_S, ends[0]), min(MOST_HOLD_S, ends[1])
            refuse_outside(hold_s, low=low_s, high=high_s, unit="s", field="hold_s")
        answer["temperature"] = banded_temperature(heats, hold_s=hold_s, constant=constant)
    return answer
