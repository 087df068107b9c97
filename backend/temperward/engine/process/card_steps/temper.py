"""The temper cycles: oven first, the torch only after and only as a range."""

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
from temperward.engine.process.card_torch import torch_point
from temperward.engine.process.card_work import Temper, Work
from temperward.engine.process.limit_values import value_of
from temperward.engine.process.torch_equal import colours
from temperward.engine.quantities import note


def points(work: Work, *, temper: Temper) -> list[dict[str, Any]]:
    """Return set point, hold, how cold to go, and the hardness expected after it."""
    shop = work.plan.shop
    half = value_of("temper_tolerance_k")
    found = [
        set_point(
            "temperature", temper.temperature_c, unit="degC", minus=half, plus=half, sources=temper.sources
        ),
        limit_point("temper_hold", "temper_hold_s", shop=shop, minus=0, plus=value_of("temper_over_s")),
        limit_point("cool_below", "temper_cool_c", shop=shop),
    ]
    if temper.expected is None:
        key = "card.text.as_ladder" if not work.metal.known else "card.text.measure_it"
        found.append(text_point("expected_after", key, sources=["practice"]))
    else:
        found.append(banded_point("expected_after", temper.expected))
    return found


def checks(work: Work, *, last: bool) -> list[dict[str, Any]]:
    """Return what is read and looked at."""
    found = [
        check("oven_temperature", "probe_within", {"reading_s": value_of("temper_reading_s")}),
        check("temper_colour", "no_colour" if has_no_colour(work) else "colour_band"),
    ]
    if work.plan.oven_kind == "kitchen":
        found.append(check("oven_temperature", "kitchen_swing"))
    if last:
        found.append(check("straightness", "straight_after_temper"))
        found.append(check("hardness", "measure_then_raise"))
    else:
        found.append(check(None, "cold_before_next", {"temperature_c": value_of("temper_cool_c")}))
    return found


def has_no_colour(work: Work) -> bool:
    """Tell whether the temper colour says nothing: alloyed, mixed or unknown steel."""
    return work.metal.alloyed or work.metal.kind == "layers" or not work.metal.known


def one_temper(work: Work, *, k: int) -> dict[str, Any]:
    """Return one temper cycle."""
    tempers = work.numbers.tempers
    last = k == len(tempers) - 1
    cautions = ["wipe_oil"]
    follow_ups = [
        follow_up("warm_lift", {"temperature_c": value_of("warm_lift_c")}),
        follow_up("power_cut"),
        follow_up("oven_hot"),
    ]
    if last:
        cautions.append("loaded_clamp")
        follow_ups.append(follow_up("jig"))
    built = step(
        "temper-" + str(k + 1),
        kind="temper",
        states=["temper_in_heat", "temper_cooling", "straightening_in_temper"],
        title=note("card.title.temper", {"n": k + 1, "of": len(tempers)}),
        set_points=points(work, temper=tempers[k]),
        checks=checks(work, last=last),
        hazards=["HOT"],
        cautions=cautions,
        why=note("card.why.temper_first" if k == 0 else "card.why.temper"),
        follow_ups=follow_ups,
    )
    built["temper"] = k + 1
    return built


def steps(work: Work) -> list[dict[str, Any]]:
    """Return the temper cycles in order."""
    return [one_temper(work, k=k) for k in range(len(work.numbers.tempers))]


def soften(work: Work) -> dict[str, Any] | None:
    """Return the softening of spine or tang by torch after the oven, where it is planned."""
    torch = work.plan.oven_kind == "torch_after"
    if not torch and work.plan.soft_tang != "softened_after":
        return None
    found = [torch_point(work)] if torch else []
    found.append(text_point("tang_colour", "card.text.tang_blue", sources=["practice"]))
    built = step(
        "soften",
        kind="finish",
        states=["tempered", "softening_spine"],
        title=note("card.title.soften"),
        set_points=found,
        checks=[check(None, "edge_in_water"), check("file", "tang_bites")],
        hazards=["HOT"],
        cautions=["torch"],
        why=note("card.why.soften"),
        follow_ups=[follow_up("edge_coloured")],
    )
    if torch:
        built["asks"] = torch_asks()
    return built


def torch_asks() -> dict[str, Any]:
    """Return what the step asks, so that what the torch did can be read as an hour in the oven."""
    fields: list[list[Any]] = [
        ["chips", "colour", colours()],
        ["number", "temperature_c"],
        ["number", "torch_s"],
    ]
    return {"question": "torch_equals", "fields": fields}
