"""How long the blade stays in each bath of the quench, and how warm it leaves the last one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from temperward.engine.process.card_baths import BathRange
from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_steel import Metal
from temperward.engine.process.card_work import Stay
from temperward.engine.process.limit_values import value_of
from temperward.engine.quantities import note
from temperward.engine.thermal.bath_hold import bath_hold, centre_after_c
from temperward.engine.thermal.bath_hold import lift_c as lift_for_ms
from temperward.engine.thermal.still_air import warm_cooling_s
from temperward.engine.thermal.windows import LIFT_BAND_K, NO_WINDOW_BELOW_MS_K

THICKEST_HOLD_MM = 12.0  # design: the conduction model's range; a thicker bolster stays in to hand-warm
STILL_AIR_START_C = 320.0  # design: the still-air model's upper end
NEAR_BATH_K = 5.0  # design: nearer to the bath than this it hardly cools any more
COLDEST_C = 100.0  # design: no steel has a window down here, so nothing colder is told apart


@dataclass(frozen=True, kw_only=True)
class Dipped:
    """A blade on its way through the baths."""

    plan: Plan
    metal: Metal
    ranges: list[BathRange]
    thickest_mm: float

    @property
    def whole(self) -> bool:
        """Tell whether all of it cools in the bath: no clay on the back, no back above the oil."""
        return not self.plan.clay and self.plan.zone_kind != "edge"

    def centre_c(self, stays: list[Stay], *, thickness_mm: float, least_c: float = COLDEST_C) -> float | None:
        """Return how warm a place is after these stays, about least_c if colder; nothing once hand-warm.

        The air between two baths is left out: two seconds are a few kelvin.
        """
        temperature_c: float = self.metal.row["aim_c"]
        for k in range(len(stays)):
            seconds = stays[k].seconds
            if seconds is None:
                return None
            temperature_c = centre_after_c(
                self.plan.dips[k].medium,
                thickness_mm=min(thickness_mm, THICKEST_HOLD_MM),
                from_c=temperature_c,
                bath_c=self.ranges[k].aim_c,
                hold_s=seconds,
                least_c=least_c,
            )
        return temperature_c


def to_lift(dipped: Dipped, *, before: list[Stay], lift_c: float | None) -> Stay:
    """Return the stay in the oil until the thickest hardening place is down to the lift temperature."""
    stays_in = Stay(kind="hand_warm", seconds=None)
    dip, bath_c = dipped.plan.dips[len(before)], dipped.ranges[len(before)].aim_c
    thickness_mm = dipped.thickest_mm
    if lift_c is None or thickness_mm > THICKEST_HOLD_MM or dip.kind != "oil" or dip.event == "hand_warm":
        return stays_in
    from_c = dipped.centre_c(before, thickness_mm=thickness_mm)
    if from_c is None or from_c <= lift_c or bath_c >= lift_c:
        return stays_in
    band = bath_hold(dip.medium, thickness_mm=thickness_mm, from_c=from_c, bath_c=bath_c, to_c=lift_c)
    return Stay(kind="computed", seconds=float(band["value"]), band=band)


def stays_of(dipped: Dipped, *, lift_c: float | None) -> list[Stay]:
    """Return the stay in each bath: as given, a short dip in water, to the lift, or to hand-warm."""
    dips = dipped.plan.dips
    found: list[Stay] = []
    for k in range(len(dips)):
        dip = dips[k]
        if dip.seconds is not None:
            found.append(Stay(kind="given", seconds=dip.seconds))
        elif dip.event != "hand_warm" and dip.kind == "water" and k < len(dips) - 1:
            found.append(Stay(kind="dip", seconds=float(value_of("water_dip_s"))))
        else:
            found.append(to_lift(dipped, before=found, lift_c=lift_c))
    return found


def lifted_c(dipped: Dipped, *, stays: list[Stay], lift_c: float) -> float | None:
    """Return how warm the blade's body leaves the last bath, no warmer than meant; nothing once hand-warm."""
    body_mm = dipped.plan.thickness_mm
    if stays[-1].kind == "computed" and body_mm == dipped.thickest_mm:
        return lift_c
    body_c = dipped.centre_c(stays, thickness_mm=body_mm)
    return None if body_c is None else min(body_c, lift_c)


def settled(stays: list[Stay], *, has_window: bool) -> list[Stay]:
    """Return the stays; without a window there is nothing to lift it warm for: it stays in to hand-warm."""
    if has_window or stays[-1].kind != "computed":
        return stays
    return stays[:-1] + [Stay(kind="hand_warm", seconds=None)]


def hold_band(stays: list[Stay]) -> dict[str, Any] | None:
    """Return the computed stay with its band, or nothing when none is."""
    for stay in stays:
        if stay.band is not None:
            return stay.band
    return None


def total_s(plan: Plan, *, stays: list[Stay]) -> float | None:
    """Return the seconds from the first bath to out of the last, or nothing when it stays in to hand-warm."""
    total = float(value_of("water_pause_s", shop=plan.shop)) * (len(stays) - 1)
    for stay in stays:
        if stay.seconds is None:
            return None
        total += stay.seconds
    return total


def in_bath_to_hand_warm_s(dipped: Dipped) -> float:
    """Return the seconds to hand-warm of a blade that stays in the last bath, by the late end of the band."""
    hand_c, bath_c = float(value_of("into_oven_c")), dipped.ranges[-1].aim_c
    thickness_mm = min(dipped.thickest_mm, THICKEST_HOLD_MM)
    found = float(value_of("bath_hand_warm_most_s"))
    if dipped.whole:
        in_bath = bath_hold(
            dipped.plan.dips[-1].medium,
            thickness_mm=thickness_mm,
            from_c=dipped.metal.row["aim_c"],
            bath_c=bath_c,
            to_c=max(hand_c, bath_c + NEAR_BATH_K),
        )
        found = min(found, float(in_bath["high"]))
    return found + warm_cooling_s(thickness_mm=thickness_mm, from_c=bath_c, to_c=hand_c)


def hand_warm_s(dipped: Dipped, *, stays: list[Stay]) -> float:
    """Return the seconds from the quench to hand-warm: in the last bath, or in still air after it."""
    out_s = total_s(dipped.plan, stays=stays)
    if out_s is None:
        return in_bath_to_hand_warm_s(dipped)
    hand_c = float(value_of("into_oven_c"))
    start_c = STILL_AIR_START_C
    if dipped.whole:
        after_c = dipped.centre_c(stays, thickness_mm=dipped.thickest_mm, least_c=hand_c)
        start_c = start_c if after_c is None else min(start_c, after_c)
    thickness_mm = min(dipped.thickest_mm, THICKEST_HOLD_MM)
    return out_s + warm_cooling_s(thickness_mm=thickness_mm, from_c=start_c, to_c=hand_c)


def hold_warnings(dipped: Dipped, *, stays: list[Stay], ms_c: float) -> list[dict[str, Any]]:
    """Return what is wrong with seconds that were given: out too hot to harden, or too cold to bend."""
    plan = dipped.plan
    if stays[-1].kind != "given" or plan.dips[-1].kind == "plates" or not dipped.whole:
        return []
    facts: dict[str, Any] = {"given_s": stays[-1].seconds, "lift_c": lift_for_ms(ms_c)}
    after_c = dipped.centre_c(stays, thickness_mm=dipped.thickest_mm)
    if after_c is not None and after_c > facts["lift_c"] + LIFT_BAND_K:
        facts["after_c"] = after_c
        return [note("card.warning.short_hold", facts)]
    body_c = dipped.centre_c(stays, thickness_mm=plan.thickness_mm)
    could_bend = dipped.metal.known and not plan.in_water
    if could_bend and body_c is not None and body_c < ms_c - NO_WINDOW_BELOW_MS_K:
        return [note("card.warning.long_hold", facts)]
    return []
