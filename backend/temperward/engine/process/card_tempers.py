"""The temper cycles of one card: the last for the wanted hardness, the first colder."""

from __future__ import annotations

from typing import Any

from temperward.engine.errors import OutOfRange, Refused
from temperward.engine.metallurgy.alloys import Stock
from temperward.engine.metallurgy.tempering import AS_SHOWN_HRC, temper_plan, tempered
from temperward.engine.metallurgy.tempering_models import modelled_hrc
from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_steel import Metal
from temperward.engine.process.card_work import Temper
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import note, once


def rounded_down_c(temperature_c: float) -> float:
    """Return a temper to the whole degree, then to the 5 degC below: it can go hotter later, never back.

    >>> rounded_down_c(211.1), rounded_down_c(199.9)
    (210.0, 200.0)
    """
    return 5.0 * int(int(temperature_c + 0.5) / 5.0)


def last_temper_c(plan: Plan, *, metal: Metal) -> tuple[float, list[str], list[dict[str, Any]]]:
    """Return the last cycle's set point, where it comes from, and warnings."""
    if not metal.known:
        return float(value_of("unknown_temper_c")), sources_of("unknown_temper_c"), []
    default = max(float(value_of("temper_default_c")), metal.row["temper_low_c"])
    if plan.target_hrc is None:
        return default, sources_of("temper_default_c"), []
    hold_s = float(value_of("temper_hold_s", shop=plan.shop))
    cycles = max(2, plan.temper_cycles)
    found: list[float] = []
    sources: list[str] = []
    for stock in metal.layers:
        try:
            refuse_target(plan.target_hrc, stock=stock, metal=metal, heats=[hold_s] * cycles)
            answer = temper_plan(stock, target_hrc=plan.target_hrc, hold_s=hold_s, cycles=cycles)
        except Refused:  # no tempering model holds for this steel: the card says so and asks for a reading
            return default, sources_of("temper_default_c"), [note("card.warning.no_temper_model")]
        found.append(answer["temperature"]["value"])
        sources = once(sources + answer["temperature"]["sources"])
    return rounded_down_c(min(found)), sources, []


def refuse_target(target_hrc: float, *, stock: Stock, metal: Metal, heats: list[float]) -> None:
    """Refuse a hardness that this steel's knife tempers do not give, and say which they give."""
    ends = [
        modelled_hrc(stock, heats=[[heat_c, hold_s] for hold_s in heats])["value"]
        for heat_c in [metal.row["temper_high_c"], metal.row["temper_low_c"]]
    ]
    if ends[0] - AS_SHOWN_HRC <= target_hrc <= ends[1] + AS_SHOWN_HRC:
        return
    raise OutOfRange(
        field="target_hrc",
        value=target_hrc,
        low=ends[0],
        high=ends[1],
        unit="HRC",
        reason="refusal.card_target",
    )


def expected_after(plan: Plan, *, metal: Metal, heats: list[list[float]]) -> dict[str, Any] | None:
    """Return the hardness expected after these heats: over all layers, nothing for an unknown bar."""
    if not metal.known:
        return None
    found: list[dict[str, Any]] = []
    for stock in metal.layers:
        one = expected_of(stock, heats=heats, by_eye=plan.by_eye)
        if one is None:
            return None
        found.append(one)
    answer = found[0]
    for other in found[1:]:
        answer["value"] = (answer["value"] + other["value"]) / 2.0
        answer["low"] = min(answer["low"], other["low"])
        answer["high"] = max(answer["high"], other["high"])
        answer["sources"] = once(answer["sources"] + other["sources"])
    return answer


def expected_of(stock: Stock, *, heats: list[list[float]], by_eye: bool) -> dict[str, Any] | None:
    """Return one steel's hardness after these heats, or nothing where no model holds."""
    try:
        return tempered(stock, heats=heats, by_eye=by_eye)
    except Refused:  # the card then asks for a reading in place of a figure
        return None


def tempers(plan: Plan, *, metal: Metal) -> tuple[list[Temper], list[dict[str, Any]]]:
    """Return the temper cycles in order, and what to warn of."""
    hold_s = float(value_of("temper_hold_s", shop=plan.shop))
    last_c, sources, warnings = last_temper_c(plan, metal=metal)
    found = []
    heats: list[list[float]] = []
    for k in range(plan.temper_cycles):
        first = k == 0 and plan.temper_cycles > 1
        heat_c = last_c - value_of("temper_step_k") if first else last_c
        heats = heats + [[heat_c, hold_s]]
        found.append(
            Temper(
                temperature_c=heat_c,
                hold_s=hold_s,
                expected=expected_after(plan, metal=metal, heats=heats),
                sources=once(sources + sources_of("temper_step_k")) if first else sources,
            )
        )
    return found, warnings
