"""Finish grinding and release: measured, looked over, and signed."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_parts import check, follow_up, limit_point, set_point, step, text_point
from temperward.engine.process.card_work import Work
from temperward.engine.process.limit_values import value_of
from temperward.engine.quantities import note


def finish(work: Work) -> dict[str, Any]:
    """Return the finish grind."""
    return step(
        "finish",
        kind="finish",
        states=["tempered", "finish_grinding"],
        title=note("card.title.finish"),
        set_points=[
            set_point(
                "edge_never_above",
                work.numbers.tempers[-1].temperature_c,
                unit="degC",
                sources=work.numbers.tempers[-1].sources,
            )
        ],
        checks=[check("temper_colour", "no_colour_at_grinder")],
        cautions=["finish_grind", "grinding"],
        why=note("card.why.finish"),
        follow_ups=[follow_up("edge_blue")],
    )


def points(work: Work) -> list[dict[str, Any]]:
    """Return what must be measured before the blade leaves."""
    shop = work.plan.shop
    found = [
        limit_point("bow_finished", "finished_bow_limit_pct", shop=shop),
        limit_point("readings", "release_readings", shop=shop),
        text_point("tang", "card.text.file_bites_tang", sources=["practice"]),
    ]
    if work.plan.target_hrc is not None:
        half = value_of("release_band_hrc")
        found.insert(
            1,
            set_point(
                "hardness_promised",
                work.plan.target_hrc,
                unit="HRC",
                minus=half,
                plus=half,
                sources=["asGiven"],
            ),
        )
    return found


def release(work: Work) -> dict[str, Any]:
    """Return the last step."""
    checks = [
        check("hardness", "hardness_three"),
        check("crack", "crack_after_temper"),
        check("straightness", "sideways_only"),
        check("file", "tang_bites"),
    ]
    if work.plan.double_edge:
        checks.append(check("twist", "twist_stations", {"count": value_of("twist_stations")}))
    if work.plan.in_water:
        checks.append(check("crack", "full_length"))
    if work.plan.clay:
        checks.append(check(None, "etch_after"))
    if work.metal.kind == "layers":
        checks.append(check("crack", "delamination"))
        checks.append(check(None, "etch_pattern"))
    if not work.metal.known:
        checks.append(check(None, "say_unknown"))
    return step(
        "release",
        kind="release",
        states=["final_check", "released"],
        title=note("card.title.release"),
        set_points=points(work),
        checks=checks,
        cautions=["penetrant", "torch"],
        why=note("card.why.release"),
        follow_ups=[follow_up("tang_skates"), follow_up("hardness_out")],
    )
