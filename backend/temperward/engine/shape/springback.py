"""How far to bend past straight: soft steel cold, tempered steel in the jig."""

from __future__ import annotations

from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import OutOfRange
from temperward.engine.quantities import banded, note

YOUNG_MPA = 205000.0  # beamBending
SOFT_YIELD_MPA, SOFT_YIELD_SPREAD = 500.0, 0.25  # fromMemory: normalised 0.6-1.0 %C
MOST_SHARE = 0.5  # beamBending: at x = 0.5 the bend is wholly elastic
MOST_SAG = 0.15  # definition: of the span; beyond, the shallow arc is more than a tenth off the true one
JIG_TIMES, JIG_TIMES_LOW, JIG_TIMES_HIGH = 3.0, 2.0, 4.0  # practice: shim as a multiple of the bow
JIG_MOST_STRAIN = 0.003  # design: under the 0.5-1 % at which hard steel may crack (fromMemory)


def springback_ratio(*, bend_radius_mm: float, yield_mpa: float, thickness_mm: float) -> float:
    """Bend radius over the radius after release.

    Equation: 4x3 - 3x + 1, x = R sy / (E t); 0 at x = 0.5, where nothing stays. In: mm, MPa. Valid x <= 0.5.
    >>> round(100.0 / springback_ratio(bend_radius_mm=100.0, yield_mpa=1500.0, thickness_mm=3.0), 1)
    306.4

    Reference: beamBending.
    """
    x = bend_radius_mm * yield_mpa / (YOUNG_MPA * thickness_mm)
    if x > MOST_SHARE:
        raise OutOfRange(
            field="bend_radius_mm",
            value=bend_radius_mm,
            low=0.0,
            high=MOST_SHARE * YOUNG_MPA * thickness_mm / yield_mpa,
            unit="mm",
            reason="refusal.only_springs",
        )
    return 4.0 * x * x * x - 3.0 * x + 1.0


def bend_radius_for(*, final_radius_mm: float, yield_mpa: float, thickness_mm: float) -> float:
    """Return the radius to bend to so that a wanted radius stays, by halving."""
    low, high = 0.0, MOST_SHARE * YOUNG_MPA * thickness_mm / yield_mpa
    for _ in range(60):
        middle = (low + high) / 2.0
        ratio = springback_ratio(bend_radius_mm=middle, yield_mpa=yield_mpa, thickness_mm=thickness_mm)
        if ratio > middle / final_radius_mm:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def sag_mm(*, radius_mm: float, span_mm: float) -> float:
    """Return the sag of a shallow arc over a span: span squared over 8 radii."""
    return span_mm * span_mm / (8.0 * radius_mm)


def soft_sag_mm(*, bow_mm: float, span_mm: float, thickness_mm: float, factor: float) -> float:
    """Return the sag to bend to over a span so that the bow stays, of steel so many times as strong."""
    radius = bend_radius_for(
        final_radius_mm=span_mm * span_mm / (8.0 * bow_mm),
        yield_mpa=SOFT_YIELD_MPA * factor,
        thickness_mm=thickness_mm,
    )
    return sag_mm(radius_mm=radius, span_mm=span_mm)


def longest_span_mm(*, bow_mm: float, span_mm: float, thickness_mm: float) -> float:
    """Return the longest span over which the arc is still shallow, for the strongest steel, by halving."""
    low, high = 0.0, span_mm
    for _ in range(40):
        middle = (low + high) / 2.0
        sag = soft_sag_mm(
            bow_mm=bow_mm, span_mm=middle, thickness_mm=thickness_mm, factor=1.0 + SOFT_YIELD_SPREAD
        )
        if bow_mm < MOST_SAG * middle and sag > MOST_SAG * middle:
            high = middle
        else:
            low = middle
    return low


def soft_overbend_mm(*, bow_mm: float, span_mm: float, thickness_mm: float) -> dict[str, Any]:
    """Return how far past straight to bend soft steel, cold, so that the bow is taken out.

    For a shallow arc: to a sag of 0.15 of the span. Longer spans of thin steel only spring.
    """
    sags = [
        soft_sag_mm(bow_mm=bow_mm, span_mm=span_mm, thickness_mm=thickness_mm, factor=factor)
        for factor in [1.0, 1.0 - SOFT_YIELD_SPREAD, 1.0 + SOFT_YIELD_SPREAD]
    ]
    if max(sags) > MOST_SAG * span_mm:
        raise OutOfRange(
            field="span_mm",
            value=span_mm,
            low=30.0,
            high=longest_span_mm(bow_mm=bow_mm, span_mm=span_mm, thickness_mm=thickness_mm),
            unit="mm",
            reason="refusal.span_too_long",
        )
    return banded(
        sags[0],
        unit="mm",
        low=min(sags),
        high=max(sags),
        sources=["beamBending", "fromMemory"],
        notes=[note("note.bend_in_small_steps")],
        coverage=None,
    )


def jig_shim_mm(*, bow_mm: float, span_mm: float, thickness_mm: float) -> dict[str, Any]:
    """Return the shim under a tempered blade in the jig; it yields by creep in the oven, not by force."""
    most_mm = JIG_MOST_STRAIN * span_mm * span_mm / (4.0 * thickness_mm)
    if JIG_TIMES_LOW * bow_mm > most_mm:
        raise OutOfRange(
            field="bow_mm",
            value=bow_mm,
            low=0.0,
            high=most_mm / JIG_TIMES_LOW,
            unit="mm",
            reason="refusal.jig_strain",
        )
    value = JIG_TIMES * bow_mm
    notes = [note("note.temper_jig_creeps"), note("note.cold_bend_may_break")]
    return banded(
        min(most_mm, value),
        unit="mm",
        low=JIG_TIMES_LOW * bow_mm,
        high=min(JIG_TIMES_HIGH * bow_mm, most_mm),
        sources=["practice", "fromMemory"],
        notes=notes if value < most_mm else notes + [note("note.shim_limited", {"most_mm": most_mm})],
        coverage=None,
    )


def springback(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `springback`: overbend of a soft blade, or the shim for a tempered one in the jig."""
    facts_module.only(facts, ["bow_mm", "span_mm", "thickness_mm", "state", "tempered_c"])
    bow_mm = facts_module.number(facts, "bow_mm", low=0.01, high=20.0, unit="mm")
    span_mm = facts_module.number(facts, "span_mm", low=30.0, high=1000.0, unit="mm")
    thickness_mm = facts_module.number(facts, "thickness_mm", low=0.5, high=10.0, unit="mm")
    state = facts_module.choice(facts, "state", choices=["soft", "tempered"])
    if state == "soft":
        overbend = soft_overbend_mm(bow_mm=bow_mm, span_mm=span_mm, thickness_mm=thickness_mm)
        return {"overbend": overbend, "sources": ["beamBending"]}
    facts_module.number(facts, "tempered_c", low=200.0, high=700.0, unit="degC")
    return {
        "shim": jig_shim_mm(bow_mm=bow_mm, span_mm=span_mm, thickness_mm=thickness_mm),
        "sources": ["practice"],
    }
