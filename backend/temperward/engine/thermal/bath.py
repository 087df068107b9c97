"""The bath's own heat: what each blade adds, how big it must be, how far it is from its flash point."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import OutOfRange
from temperward.engine.quantities import banded, note

STEEL_CP, OIL_CP, WATER_CP = 711.3, 1882.8, 4184.0  # J/kgK; 0.17, 0.45, 1.0 cal/gK (oneToOneRule)
OIL_KG_L, WATER_KG_L = 0.87, 1.0  # oilDensity
OIL_EXPANSION_PER_K = 0.0007  # oilDensity
RULE_L_PER_KG = 8.35  # oneToOneRule: 1 US gallon of oil per pound of steel
FLASH_MARGIN_K = 27.8  # cfr1910: 50 degF as an interval; never converted with the 32
STEEL_KG_MM3 = 7.85e-6  # en1993
# Where a bath is none any more: water boils (definition); fast oils flash from 150 degC (fromMemory).
WATER_END_C, OIL_END_C = 100.0, 150.0
COVER_MM, UNDER_TIP_MM, FREEBOARD_MM = 150.0, 40.0, 100.0  # tankSizing; under the tip practice


def liquid_of(kind: str) -> tuple[float, float]:
    """Return (specific heat in J/kgK, density in kg/L) of oil or water."""
    return (OIL_CP, OIL_KG_L) if kind == "oil" else (WATER_CP, WATER_KG_L)


def bath_rise_k(*, steel_kg: float, steel_c: float, bath_c: float, litres: float, kind: str = "oil") -> float:
    """Rise of a bath by one blade, nothing lost to the room.

    Equation: m cs (Ts - Tb) / (V rho c + m cs). In: kg, degC, litres. Error +-10 %.
    >>> round(bath_rise_k(steel_kg=0.1735, steel_c=845.0, bath_c=50.0, litres=12.0), 2)
    4.96

    Reference: oneToOneRule, oilDensity.
    """
    specific, density = liquid_of(kind)
    steel = steel_kg * STEEL_CP
    return steel * (steel_c - bath_c) / (litres * density * specific + steel)


def bath_after_each_c(
    *, steel_kg: float, steel_c: float, bath_c: float, litres: float, blades: int, kind: str = "oil"
) -> list[float]:
    """Return the bath's temperature before the first and after each of several blades, no cooling between."""
    temperatures = [bath_c]
    for _ in range(blades):
        now = temperatures[-1]
        temperatures.append(
            now + bath_rise_k(steel_kg=steel_kg, steel_c=steel_c, bath_c=now, litres=litres, kind=kind)
        )
    return temperatures


def litres_for_rise(
    *, steel_kg: float, steel_c: float, end_c: float, rise_k: float, kind: str = "oil"
) -> float:
    """Volume whose rise stays within a limit.

    Equation: m cs (Ts - Tend) / (rho c dT). In: kg, degC, K.
    >>> round(litres_for_rise(steel_kg=1.05, steel_c=830.0, end_c=70.0, rise_k=15.0), 1)
    23.1

    Reference: oneToOneRule.
    """
    specific, density = liquid_of(kind)
    return steel_kg * STEEL_CP * (steel_c - end_c) / (density * specific * rise_k)


def end_c(kind: str) -> float:
    """Return the temperature at which a liquid is no bath any more."""
    return OIL_END_C if kind == "oil" else WATER_END_C


def least_litres(*, steel_kg: float, steel_c: float, bath_c: float, blades: int, kind: str) -> float:
    """Volume that stays under the end of its liquid through so many blades, no cooling between.

    Equation: Tn = Ts - (Ts - Tb) r^n with r = V rho c / (V rho c + m cs), solved for V. In: kg, degC.
    >>> litres = least_litres(steel_kg=1.0, steel_c=820.0, bath_c=50.0, blades=2, kind="oil")
    >>> after = bath_after_each_c(steel_kg=1.0, steel_c=820.0, bath_c=50.0, litres=litres, blades=2)
    >>> round(litres, 2), round(after[-1], 6)
    (6.03, 150.0)

    Reference: oneToOneRule, oilDensity.
    """
    specific, density = liquid_of(kind)
    kept = math.pow((steel_c - end_c(kind)) / (steel_c - bath_c), 1.0 / blades)
    litres: float = steel_kg * STEEL_CP * kept / (1.0 - kept) / (density * specific)
    return litres


def bath_rise(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `bath_rise`: the bath after each blade, and how many go in before a limit.

    Refused where the last blade would bring water to the boil or oil to where oils flash.
    """
    names = ["steel_kg", "steel_c", "bath_c", "litres", "blades", "limit_c", "liquid"]
    facts_module.only(facts, names)
    steel_kg = facts_module.number(facts, "steel_kg", low=0.005, high=20.0, unit="kg")
    steel_c = facts_module.number(facts, "steel_c", low=600.0, high=1000.0, unit="degC", default=820.0)
    kind = facts_module.choice(facts, "liquid", choices=["oil", "water"], default="oil")
    bath_c = facts_module.number(facts, "bath_c", low=0.0, high=end_c(kind) - 1.0, unit="degC")
    litres = facts_module.number(facts, "litres", low=0.5, high=1000.0, unit="l")
    blades = int(facts_module.number(facts, "blades", low=1, high=50, unit="", default=1))
    least = least_litres(steel_kg=steel_kg, steel_c=steel_c, bath_c=bath_c, blades=blades, kind=kind)
    if litres < least:
        raise OutOfRange(
            field="litres", value=litres, low=least, high=1000.0, unit="l", reason="refusal.bath_too_small"
        )
    after = bath_after_each_c(
        steel_kg=steel_kg, steel_c=steel_c, bath_c=bath_c, litres=litres, blades=blades, kind=kind
    )
    first = after[1] - after[0]
    answer: dict[str, Any] = {
        "rise": banded(
            first,
            unit="K",
            low=first * 0.9,
            high=first * 1.1,
            sources=["oneToOneRule", "oilDensity"],
            notes=[note("note.no_cooling_between")],
            coverage=None,
        ),
        "bath_c_after": after[1:],
        "litres_per_kg": litres / steel_kg,
        "rule_litres_per_kg": RULE_L_PER_KG,
        "sources": ["oneToOneRule", "oilDensity"],
    }
    if facts.get("limit_c") is not None:
        limit_c = facts_module.number(facts, "limit_c", low=0.0, high=200.0, unit="degC")
        answer["blades_before_limit"] = blades_before(
            limit_c, steel_kg=steel_kg, steel_c=steel_c, bath_c=bath_c, litres=litres, kind=kind
        )
    return answer


def blades_before(
    limit_c: float, *, steel_kg: float, steel_c: float, bath_c: float, litres: float, kind: str = "oil"
) -> int:
    """Return how many blades leave the bath at or under a limit (at most 200)."""
    count = 0
    now = bath_c
    while count < 200:
        now += bath_rise_k(steel_kg=steel_kg, steel_c=steel_c, bath_c=now, litres=litres, kind=kind)
        if now > limit_c:
            break
        count += 1
    return count


def bath_size(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `bath_size`: litres by the heat balance and by the rule of thumb; depth and rises of a tube."""
    names = ["steel_kg", "steel_c", "mean_end_c", "rise_k", "dip_mm", "tang_mm", "bore_mm", "cold_c", "hot_c"]
    facts_module.only(facts, names)
    steel_kg = facts_module.number(facts, "steel_kg", low=0.005, high=20.0, unit="kg")
    steel_c = facts_module.number(facts, "steel_c", low=600.0, high=1000.0, unit="degC", default=820.0)
    rise_k = facts_module.number(facts, "rise_k", low=2.0, high=60.0, unit="K", default=15.0)
    end_c = facts_module.number(facts, "mean_end_c", low=20.0, high=150.0, unit="degC", default=65.0)
    answer: dict[str, Any] = {
        "litres_by_heat": litres_for_rise(steel_kg=steel_kg, steel_c=steel_c, end_c=end_c, rise_k=rise_k),
        "litres_by_rule": RULE_L_PER_KG * steel_kg,
        "notes": [note("note.rule_is_for_fire")],
        "sources": ["oneToOneRule", "oilDensity", "tankSizing"],
    }
    said = {"litres_l": answer["litres_by_heat"], "rise_k": rise_k, "rule_l": answer["litres_by_rule"]}
    answer["sentence"] = note("trouble.bath", said)
    if facts.get("dip_mm") is not None:
        tube = tube_of(facts, steel_kg=steel_kg, steel_c=steel_c, end_c=end_c)
        answer["tube"] = tube
        answer["sentence"] = note("trouble.bath.tube", said_of(tube, said))
    return answer


def said_of(tube: dict[str, Any], said: dict[str, Any]) -> dict[str, Any]:
    """Return what a sentence names of a bath and of a tube for it, which is cut no shorter."""
    return {
        "litres_l": said["litres_l"],
        "rise_k": said["rise_k"],
        "rule_l": said["rule_l"],
        "depth_mm": tube["depth_mm"],
        "tube_mm": math.ceil(tube["tube_mm"]),
        "tube_l": tube["litres"],
        "tube_rise_k": tube["rise_k"],
    }


def tube_of(facts: dict[str, Any], *, steel_kg: float, steel_c: float, end_c: float) -> dict[str, Any]:
    """Return depth, volume and rises of an upright tube that covers the blade."""
    dip_mm = facts_module.number(facts, "dip_mm", low=50.0, high=1500.0, unit="mm")
    tang_mm = facts_module.number(facts, "tang_mm", low=0.0, high=200.0, unit="mm", default=25.0)
    bore_mm = facts_module.number(facts, "bore_mm", low=50.0, high=600.0, unit="mm")
    cold_c = facts_module.number(facts, "cold_c", low=-10.0, high=60.0, unit="degC", default=20.0)
    hot_c = facts_module.number(
        facts, "hot_c", low=max(20.0, cold_c), high=150.0, unit="degC", default=max(65.0, cold_c)
    )
    depth_mm = dip_mm + tang_mm + UNDER_TIP_MM + COVER_MM
    area_mm2 = math.pi * bore_mm * bore_mm / 4.0
    litres = depth_mm * area_mm2 / 1e6
    pushed_mm = steel_kg / STEEL_KG_MM3 / area_mm2
    grown_mm = litres * OIL_EXPANSION_PER_K * (hot_c - cold_c) * 1e6 / area_mm2
    return {
        "depth_mm": depth_mm,
        "litres": litres,
        "rise_k": steel_kg * STEEL_CP * (steel_c - end_c) / (litres * OIL_KG_L * OIL_CP),
        "displacement_mm": pushed_mm,
        "expansion_mm": grown_mm,
        "tube_mm": depth_mm + pushed_mm + grown_mm + FREEBOARD_MM,
        "sources": ["tankSizing", "oilDensity"],
    }


def highest_bath_c(flash_c: float) -> float:
    """Highest bath temperature under the fire line: the flash point less the interval of 27.8 K.

    >>> round(highest_bath_c(190.0), 1)
    162.2

    Reference: cfr1910.
    """
    return flash_c - FLASH_MARGIN_K


def flash_margin(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `flash_margin`: kelvin between the bath and its flash point, against the fire line."""
    facts_module.only(facts, ["flash_c", "bath_c", "rise_k"])
    flash_c = facts_module.number(facts, "flash_c", low=60.0, high=350.0, unit="degC")
    bath_c = facts_module.number(facts, "bath_c", low=-20.0, high=350.0, unit="degC")
    rise_k = facts_module.number(facts, "rise_k", low=0.0, high=150.0, unit="K", default=0.0)
    if bath_c >= flash_c:
        raise OutOfRange(
            field="bath_c", value=bath_c, low=-20.0, high=flash_c, unit="degC", reason="refusal.above_flash"
        )
    margin = flash_c - bath_c - rise_k
    return {
        "margin_k": margin,
        "required_k": FLASH_MARGIN_K,
        "highest_bath_c": highest_bath_c(flash_c),
        "passed": margin >= FLASH_MARGIN_K,
        "notes": [note("note.fire_line_not_working_limit")],
        "sources": ["cfr1910"],
    }
