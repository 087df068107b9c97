"""The skin a fire takes, and so how thick an edge must be left."""

from __future__ import annotations

import math
from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import MissingField, OutOfRange
from temperward.engine.quantities import banded, kelvin, note

GAS_J_MOLK = 8.314  # definition
SCALE_MM, CLEAN_UP_MM, FINAL_EDGE_MM = 0.03, 0.05, 0.25  # practice, per side and finished edge
WATER_EDGE_LEAST_MM = 1.6  # practice: thinner edges crack in water or brine
# erf(1.163) = 0.9: the depth at which nine tenths of the carbon is left, in units of 2 sqrt(Dt) (definition)
ERF_NINE_TENTHS = 1.163
DIFFUSION_SPREAD = 2.3  # published constants disagree by this factor (diffusion, slyckeEricsson1981)


def carbon_diffusivity_m2_s(temperature_c: float) -> float:
    """Diffusivity of carbon in austenite.

    Equation: D = 2.3e-5 exp(-148000/RT). Valid 800-1000 degC; published values reach 2.3 times this.
    >>> round(carbon_diffusivity_m2_s(845.0) * 1e12, 2)
    2.8

    Reference: diffusion.
    """
    return 2.3e-5 * math.exp(-148000.0 / (GAS_J_MOLK * kelvin(temperature_c)))


def carbon_diffusivity_high_m2_s(temperature_c: float, *, carbon_pct: float) -> float:
    """Diffusivity of carbon in austenite at its carbon content: the upper published form.

    Equation: D = 4.84e-5 exp(-320x/R) / (1-5x) exp(-(155000 - 570000x)/RT), x mole fraction of carbon.
    >>> round(carbon_diffusivity_high_m2_s(850.0, carbon_pct=0.6) * 1e12, 2)
    6.41

    Reference: slyckeEricsson1981.
    """
    x = (carbon_pct / 12.011) / (carbon_pct / 12.011 + (100.0 - carbon_pct) / 55.845)
    energy = 155000.0 - 570000.0 * x
    before = 4.84e-5 * math.exp(-320.0 * x / GAS_J_MOLK) / (1.0 - 5.0 * x)
    return before * math.exp(-energy / (GAS_J_MOLK * kelvin(temperature_c)))


def sqrt_dt_mm(heats: list[list[float]]) -> float:
    """Diffusion length of several heats, each [temperature_c, hold_s]: sqrt of the sum of D t, in mm."""
    total = 0.0
    for temperature_c, hold_s in heats:
        total += carbon_diffusivity_m2_s(temperature_c) * hold_s
    return 1000.0 * math.sqrt(total)


def most_skin_mm(heats: list[list[float]], *, carbon_pct: float | None) -> float:
    """Upper end of the skin lost: by the upper published form, or by the spread of all for carbon not known.

    >>> heats = [[850.0, 600.0]]
    >>> [round(most_skin_mm(heats, carbon_pct=c), 3) for c in (None, 0.6, 0.8)]
    [0.15, 0.144, 0.164]

    Reference: diffusion, slyckeEricsson1981.
    """
    if carbon_pct is None:
        return decarb_depth_mm(heats) * math.sqrt(DIFFUSION_SPREAD)
    total = 0.0
    for temperature_c, hold_s in heats:
        total += carbon_diffusivity_high_m2_s(temperature_c, carbon_pct=carbon_pct) * hold_s
    return 2.0 * ERF_NINE_TENTHS * 1000.0 * math.sqrt(total)


def decarb_depth_mm(heats: list[list[float]]) -> float:
    """Depth per side to nine tenths of the carbon: an upper bound, since scale eats part of it.

    >>> round(decarb_depth_mm([[870.0, 180.0]] * 3 + [[845.0, 600.0]]), 3)
    0.144
    """
    return 2.0 * ERF_NINE_TENTHS * sqrt_dt_mm(heats)


def edge_to_leave_mm(
    heats: list[list[float]], *, final_edge_mm: float = FINAL_EDGE_MM, bow_mm: float = 0.0
) -> float:
    """Edge thickness before the heats: final edge, twice the lost skin, and twice an expected bow."""
    return final_edge_mm + 2.0 * (decarb_depth_mm(heats) + SCALE_MM + CLEAN_UP_MM) + 2.0 * bow_mm


def edge_need(
    heats: list[list[float]],
    *,
    final_edge_mm: float = FINAL_EDGE_MM,
    bow_mm: float = 0.0,
    medium_kind: str = "oil",
    carbon_pct: float | None = None,
) -> dict[str, Any]:
    """Return the edge to leave with its band; never under 1.6 mm for water or brine."""
    value = edge_to_leave_mm(heats, final_edge_mm=final_edge_mm, bow_mm=bow_mm)
    skin = decarb_depth_mm(heats)
    low, high = value - skin, value + 2.0 * (most_skin_mm(heats, carbon_pct=carbon_pct) - skin)
    notes = [note("note.decarb_upper_bound")]
    if medium_kind == "water" and value < WATER_EDGE_LEAST_MM:
        value, low, high = WATER_EDGE_LEAST_MM, WATER_EDGE_LEAST_MM, max(high, WATER_EDGE_LEAST_MM)
        notes.append(note("note.water_edge_least"))
    return banded(
        value,
        unit="mm",
        low=low,
        high=high,
        sources=["diffusion", "slyckeEricsson1981", "practice"],
        notes=notes,
        coverage=None,
    )


def edge_allowance(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `edge_allowance`: edge to leave for the planned heats."""
    facts_module.only(facts, ["heats", "final_edge_mm", "bow_mm", "medium", "carbon_pct"])
    given = facts.get("heats")
    if not isinstance(given, list):
        raise MissingField(field="heats", reason="refusal.missing")
    if len(given) > 20:
        raise OutOfRange(field="heats", value=len(given), low=0, high=20, reason="refusal.too_many")
    heats = []
    for heat in given:
        if not isinstance(heat, dict):
            raise MissingField(field="heats.temperature_c", unit="degC", reason="refusal.missing")
        facts_module.only(heat, ["temperature_c", "hold_s"])
        temperature_c = facts_module.number(
            heat, "temperature_c", low=700.0, high=1000.0, unit="degC", of="heats"
        )
        hold_s = facts_module.number(heat, "hold_s", low=0.0, high=14400.0, unit="s", of="heats")
        heats.append([temperature_c, hold_s])
    final = facts_module.number(facts, "final_edge_mm", low=0.0, high=5.0, unit="mm", default=FINAL_EDGE_MM)
    bow_mm = facts_module.number(facts, "bow_mm", low=0.0, high=5.0, unit="mm", default=0.0)
    medium = facts_module.choice(
        facts,
        "medium",
        choices=["still_air", "fast_oil", "medium_oil", "water", "brine", "plates"],
        default="fast_oil",
    )
    carbon_pct = None
    if facts.get("carbon_pct") is not None:
        carbon_pct = facts_module.number(facts, "carbon_pct", low=0.40, high=1.10, unit="pct")
    kind = "water" if medium in ("water", "brine") else "oil"
    return {
        "edge": edge_need(heats, final_edge_mm=final, bow_mm=bow_mm, medium_kind=kind, carbon_pct=carbon_pct),
        "decarb_per_side_mm": decarb_depth_mm(heats),
        "scale_per_side_mm": SCALE_MM,
        "clean_up_per_side_mm": CLEAN_UP_MM,
        "sources": ["diffusion", "practice"],
    }
