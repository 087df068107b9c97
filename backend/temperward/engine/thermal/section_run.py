"""The cooling of a section through bath and nose, with the heat of the change."""

from __future__ import annotations

from typing import Any

from temperward.engine.interpolate import held
from temperward.engine.metallurgy.kinetics import Nose, extent_added, pearlite_fraction
from temperward.engine.thermal.media import medium_row
from temperward.engine.thermal.section import INTERVALS, step_section
from temperward.engine.thermal.steel_heat import (
    COOLING_CP,
    DENSITY_KG_M3,
    conductivity_w_mk,
    radiation_w_m2k,
)

LATENT_J_M3 = 80000.0 * DENSITY_KG_M3  # latentHeat
STEP_K = 12.0  # design: most the surface may fall in one step
END_C = 380.0  # ttAtlas: under it the nose is passed
AIR_CONVECTION = 12.0  # quenchHtc, at red heat


def run_section(
    *,
    medium: str,
    thickness_mm: float,
    from_c: float,
    bath_c: float,
    transfer_s: float,
    nose: Nose,
    multiplier: float,
    end_c: float = END_C,
) -> dict[str, Any]:
    """Return the cooling of a section: curve [[time_s, skin_c, centre_c]] and pearlite at both.

    The multiplier is for the passage of the nose: once the centre is past it, the bath's table stands.

    Equation: conduction with the bath's heat transfer, time in air before it, and the heat of the
    change given off as it happens (no peak of specific heat to step over).
    Reference: quenchHtc, ttAtlas, latentHeat.
    """
    table = medium_row(medium)["heat_transfer"]
    half_m = thickness_mm / 2000.0
    nodes = INTERVALS + 1
    above = [from_c - bath_c] * nodes
    extents = [0.0] * nodes
    changed = [0.0] * nodes
    given_off = [0.0] * nodes
    time_s = -transfer_s
    curve = [[time_s, from_c, from_c]]
    while above[0] + bath_c > end_c and len(curve) < 400:
        skin = above[-1] + bath_c
        passing = above[0] + bath_c > END_C
        if time_s < -1e-9:
            h = AIR_CONVECTION + radiation_w_m2k(skin, ambient_c=bath_c)
        else:
            h = (multiplier if passing else 1.0) * held(table, skin)
        step = STEP_K * DENSITY_KG_M3 * COOLING_CP * half_m / (h * max(above[-1], 1.0))
        if time_s < -1e-9:
            step = min(step, -time_s)
        above = step_section(
            above,
            step_s=step,
            width_m=half_m / INTERVALS,
            conductivity=conductivity_w_mk((skin + above[0] + bath_c) / 2.0),
            transfer=h,
            given_off_j_m3=given_off,
        )
        time_s += step
        for k in range(nodes if passing else 0):
            extents[k] += extent_added(above[k] + bath_c, step_s=step, nose=nose)
            now = pearlite_fraction(extents[k], nose=nose)
            given_off[k] = (now - changed[k]) * LATENT_J_M3
            changed[k] = now
        if not passing:
            given_off = [0.0] * nodes
        curve.append([time_s, above[-1] + bath_c, above[0] + bath_c])
    return {
        "curve": curve,
        "skin_pearlite": changed[-1],
        "centre_pearlite": changed[0],
        "skin_extent": extents[-1],
        "centre_extent": extents[0],
    }
