"""Hard, untempered: the clock runs and nothing stands before the oven."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_parts import (
    banded_point,
    check,
    follow_up,
    limit_point,
    set_point,
    step,
    text_point,
)
from temperward.engine.process.card_work import Work
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import note


def clock_points(work: Work) -> list[dict[str, Any]]:
    """Return reminder, hurry and alarm, halved where the blade is likelier to crack."""
    found = []
    halved = len(work.numbers.halved_by) > 0
    notes = [note("card.halved." + reason) for reason in work.numbers.halved_by]
    for stage in ["reminder", "hurry", "alarm"]:
        name = "brittle_" + stage + "_s"
        seconds = value_of(name, shop=work.plan.shop)
        found.append(
            set_point(
                stage,
                seconds / 2 if halved else seconds,
                unit="s",
                sources=sources_of(name, shop=work.plan.shop),
                notes=notes,
            )
        )
    return found


def points(work: Work) -> list[dict[str, Any]]:
    """Return the hardness to expect, when it may go into the oven, and the clock."""
    if work.numbers.as_quenched is None:
        found = [text_point("as_quenched", "card.text.as_coupon", sources=["practice"])]
    else:
        found = [banded_point("as_quenched", work.numbers.as_quenched)]
    found.append(limit_point("into_oven_below", "into_oven_c", shop=work.plan.shop))
    found.append(text_point("clock_starts", "card.text.clock_starts", sources=["design"]))
    return found + clock_points(work)


def file_check(work: Work) -> dict[str, Any]:
    """Return which file must not cut, and where."""
    if work.numbers.file_hrc is None:
        return check("file", "file_same_as_coupon" if not work.metal.known else "file_hard_or_not")
    edge_only = work.plan.clay or work.plan.zone_kind == "edge"
    return check("file", "file_edge" if edge_only else "file_spine", {"file_hrc": work.numbers.file_hrc})


def hard(work: Work) -> dict[str, Any]:
    """Return the step."""
    oily = work.plan.in_oil
    checks = [check(None, "wipe_oil", {"wipe_s": value_of("oil_wipe_s")})] if oily else []
    checks = checks + [file_check(work), check("crack", "look_for_cracks")]
    if work.numbers.verdict in ["edge_only", "doubtful", "no"]:
        checks.append(check("file", "spine_may_be_softer"))
    snap = {
        "temperature_c": value_of("snap_c"),
        "from_s": value_of("snap_low_s"),
        "to_s": value_of("snap_high_s"),
        "boiling_s": value_of("boiling_s"),
    }
    return step(
        "hard",
        kind="hard",
        states=["hard", "snap_tempered"],
        title=note("card.title.hard"),
        set_points=points(work),
        checks=checks,
        hazards=["BRITTLE"],
        cautions=["hard_shatters", "wipe_oil"] if oily else ["hard_shatters"],
        why=note("card.why.hard"),
        follow_ups=[follow_up("file_bites", snap), follow_up("oven_fails", snap), follow_up("warp_cold")],
    )
