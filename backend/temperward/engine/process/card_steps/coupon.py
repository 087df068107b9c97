"""Proving a coupon: the piece of the same bar that is lost so that the blade is not."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_parts import check, follow_up, limit_point, set_point, step, text_point
from temperward.engine.process.card_work import Work
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import note

STATES = ["planned", "coupon_being_proved"]


def steps(work: Work) -> list[dict[str, Any]]:
    """Return the coupon steps: three for an unknown bar, one for a doubtful quench, else none."""
    coupon = work.plan.coupon
    passed = coupon is not None and coupon.passed
    if not work.metal.known:
        return (
            [temper_ladder(work)] if passed else [look_at_bar(), unknown_coupons(work), temper_ladder(work)]
        )
    planned = coupon is not None and not passed
    if planned or not work.numbers.proved or (work.plan.clay and not passed):
        return [one_coupon(work)]
    return []


def look_at_bar() -> dict[str, Any]:
    """Return the first look at a bar of unknown steel."""
    return step(
        "look-at-bar",
        kind="prove_coupon",
        states=STATES,
        title=note("card.title.look_at_bar"),
        set_points=[],
        checks=[check(None, "bar_bare"), check("crack", "bar_cracks")],
        cautions=["no_plated_metal", "spring_energy", "penetrant"],
        why=note("card.why.look_at_bar"),
        follow_ups=[follow_up("many_spring_steels")],
    )


def unknown_coupons(work: Work) -> dict[str, Any]:
    """Return the coupons that tell how the bar hardens: air, then oils; never water."""
    shop = work.plan.shop
    row = work.metal.row
    file_hrc = value_of("unknown_file_hrc")
    return step(
        "coupons",
        kind="prove_coupon",
        states=STATES,
        title=note("card.title.coupons"),
        set_points=[
            thickness_point(work),
            limit_point("coupons", "unknown_coupons", shop=shop),
            set_point(
                "temperature",
                row["aim_c"],
                unit="degC",
                minus=row["aim_c"] - row["austenitise_low_c"],
                plus=row["austenitise_high_c"] - row["aim_c"],
                sources=work.metal.sources("aim"),
            ),
            limit_point("soak", "unknown_soak_s", shop=shop),
            text_point("order", "card.text.coupon_order", sources=["practice"]),
        ],
        checks=[
            check("coupon", "coupon_air", {"file_hrc": file_hrc}),
            check("coupon", "coupon_oil", {"file_hrc": file_hrc}),
            check("grain", "coupon_grain"),
            check("coupon", "coupon_no_water"),
        ],
        hazards=["HOT", "BRITTLE"],
        cautions=["coupon_break", "blade_under"],
        why=note("card.why.coupons"),
        follow_ups=[
            follow_up("coupon_proves", {"thickness_mm": work.numbers.thickest_mm}),
            follow_up("coupon_fails"),
        ],
    )


def thickness_point(work: Work) -> dict[str, Any]:
    """Return how thick a coupon must be to prove anything."""
    return set_point(
        "coupon_thickness",
        work.numbers.thickest_mm,
        unit="mm",
        minus=0,
        plus=None,
        sources=["practice"],
        notes=[note("card.note.coupon_at_least")],
    )


def temper_ladder(work: Work) -> dict[str, Any]:
    """Return the coupons tempered one step apart, from which the temper is picked."""
    first = value_of("unknown_first_temper_c")
    half = value_of("temper_tolerance_k")
    points = [
        set_point(
            "ladder_" + str(k + 1),
            first + k * value_of("ladder_step_k"),
            unit="degC",
            minus=half,
            plus=half,
            sources=sources_of("ladder_step_k"),
        )
        for k in range(value_of("ladder_coupons"))
    ]
    points.append(limit_point("temper_hold", "temper_hold_s", shop=work.plan.shop))
    return step(
        "temper-ladder",
        kind="prove_coupon",
        states=STATES,
        title=note("card.title.temper_ladder"),
        set_points=points,
        checks=[check("hardness", "ladder_files")],
        hazards=["HOT"],
        cautions=["wipe_oil"],
        why=note("card.why.temper_ladder"),
        follow_ups=[],
    )


def one_coupon(work: Work) -> dict[str, Any]:
    """Return one coupon of a known steel, in the blade's own medium."""
    medium = work.plan.dips[0].medium
    cautions = ["coupon_break"]
    cautions.append("water_spits" if work.plan.in_water else "blade_under")
    checks = [check("coupon", "coupon_same"), check("grain", "coupon_grain")]
    if work.numbers.file_hrc is not None:
        checks.insert(1, check("file", "coupon_file", {"file_hrc": work.numbers.file_hrc}))
    return step(
        "coupon",
        kind="prove_coupon",
        states=STATES,
        title=note("card.title.coupon"),
        set_points=[
            thickness_point(work),
            text_point("medium", "medium." + medium, sources=["practice"]),
        ],
        checks=checks,
        hazards=["HOT", "BRITTLE"],
        cautions=cautions,
        why=note("card.why.coupon_water" if work.plan.in_water else "card.why.coupon"),
        follow_ups=[
            follow_up("coupon_proves", {"thickness_mm": work.numbers.thickest_mm}),
            follow_up("coupon_fails_known"),
        ],
    )
