"""The range each bath must be in: its own sheet first, else common practice, never near the flash point."""

from __future__ import annotations

from dataclasses import dataclass

from temperward.engine.errors import OutOfRange, Refused
from temperward.engine.process.card_facts import Bath, Dip, Plan, medium_row
from temperward.engine.process.card_steel import Metal
from temperward.engine.process.limit_values import value_of


@dataclass(frozen=True, kw_only=True)
class BathRange:
    """One bath's working range and aim."""

    medium: str
    low_c: float
    high_c: float
    aim_c: float
    sources: list[str]


def baths(plan: Plan) -> list[BathRange]:
    """Return the working range of each stage, the tank's own sheet ruling the one that it is of."""
    found = []
    for k in range(len(plan.dips)):
        sheet = plan.bath if k == sheet_place(plan) else None
        found.append(bath_range(plan.dips[k], sheet=sheet, field="quench." + str(k)))
    return found


def sheet_place(plan: Plan) -> int:
    """Return which stage the tank's sheet is of: the first oil where it has a flash point, else the first."""
    if plan.bath.flash_c is not None:
        for k in range(len(plan.dips)):
            if plan.dips[k].kind == "oil":
                return k
    return 0


def bath_range(dip: Dip, *, sheet: Bath | None, field: str) -> BathRange:
    """Return one bath's range; an aim outside it, or too near the flash point, is refused."""
    row = medium_row(dip.medium, field=field)
    low, high = float(row["bath_low_c"]), float(row["bath_high_c"])
    sources = list(row["sources"]["bath"])
    if sheet is not None and (sheet.low_c is not None or sheet.high_c is not None):
        low = low if sheet.low_c is None else sheet.low_c
        high = high if sheet.high_c is None else sheet.high_c
        sources = ["bathSheet"]
    if sheet is not None and sheet.flash_c is not None and dip.kind == "oil":
        fire_line = sheet.flash_c - value_of("flash_margin_k")
        high = min(high, fire_line)
        if dip.bath_c is not None and dip.bath_c > fire_line:
            raise OutOfRange(
                field=field + ".bath_c",
                value=dip.bath_c,
                low=low,
                high=fire_line,
                unit="degC",
                reason="refusal.card_flash",
            )
    if high <= low:
        raise OutOfRange(
            field="bath.high_c", value=high, low=low, high=None, unit="degC", reason="refusal.out_of_range"
        )
    aim = float(row["bath_aim_c"])
    if dip.bath_c is not None:
        if dip.bath_c < low or dip.bath_c > high:
            raise OutOfRange(
                field=field + ".bath_c",
                value=dip.bath_c,
                low=low,
                high=high,
                unit="degC",
                reason="refusal.card_bath_range",
            )
        aim = dip.bath_c
    elif aim < low or aim > high:
        aim = (low + high) / 2.0
    return BathRange(medium=dip.medium, low_c=low, high_c=high, aim_c=aim, sources=sources)


def coupon_proves(plan: Plan, *, thickest_mm: float) -> bool:
    """Tell whether a passed coupon stands for this section and this first medium."""
    coupon = plan.coupon
    if coupon is None or not coupon.passed:
        return False
    return coupon.medium == plan.dips[0].medium and coupon.thickness_mm >= thickest_mm


def refuse_water(plan: Plan, *, metal: Metal, thickest_mm: float) -> None:
    """Refuse water or brine for a steel it cracks, unless a coupon went first or clay covers the back."""
    if not plan.in_water:
        return
    if plan.clay and metal.known and not metal.alloyed:
        return
    if coupon_proves(plan, thickest_mm=thickest_mm) and metal.known:
        return
    if not metal.known:
        raise Refused(field="quench", value="water", reason="refusal.card_water_unknown")
    if metal.alloyed:
        raise Refused(field="quench", value=metal.name, reason="refusal.card_water_alloy")
    most = value_of("water_carbon_pct")
    if metal.carbon_pct >= most:
        raise Refused(
            field="quench",
            value=metal.carbon_pct,
            low=0.0,
            high=most,
            unit="pct",
            reason="refusal.card_water_carbon",
        )
