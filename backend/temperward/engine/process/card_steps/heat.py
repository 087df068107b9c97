"""The hardening heat: the magnet is the lower gate, set point and soak are the heat."""

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
from temperward.engine.process.card_steps.cycle import forge_lit
from temperward.engine.process.card_work import Work
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import note


def tolerance(work: Work) -> tuple[float, float]:
    """Return how far below and above its aim the hardening heat may be: inside the steel's own range."""
    row = work.metal.row
    most, least = value_of("harden_tolerance_k"), value_of("harden_least_tolerance_k")
    minus = max(least, min(most, row["aim_c"] - row["austenitise_low_c"]))
    plus = max(least, min(most, row["austenitise_high_c"] - row["aim_c"]))
    return minus, plus


def ceiling_c(work: Work) -> float:
    """Return the heat not to pass: the range's end where carbide must stay or water waits, else 10 K over."""
    row = work.metal.row
    aim: float = row["aim_c"]
    if work.plan.in_water:
        return float(min(row["austenitise_high_c"], aim + value_of("ceiling_water_over_k")))
    if work.metal.carbon_pct >= value_of("own_hyper_carbon_pct") and work.metal.known:
        return float(row["austenitise_high_c"])
    return float(row["austenitise_high_c"] + value_of("ceiling_over_k"))


def points(work: Work) -> list[dict[str, Any]]:
    """Return set point, ceiling, soak, magnet and what is still to go after it."""
    row, numbers = work.metal.row, work.numbers
    minus, plus = tolerance(work)
    found = [
        set_point(
            "temperature",
            row["aim_c"],
            unit="degC",
            minus=minus,
            plus=plus,
            sources=work.metal.sources("aim"),
            notes=[note("card.note.by_eye_no_figure")] if work.plan.by_eye else [],
        ),
        set_point(
            "not_above",
            ceiling_c(work),
            unit="degC",
            sources=work.metal.sources("austenitise") + ["practice"],
        ),
        set_point(
            "soak",
            row["soak_s"],
            unit="s",
            minus=value_of("soak_under_s"),
            plus=value_of("soak_harden_over_s"),
            sources=work.metal.sources("soak"),
        ),
    ]
    if numbers.magnet is not None and numbers.to_go is not None:
        found.append(banded_point("magnet_lets_go", numbers.magnet))
        found.append(banded_point("still_to_go", numbers.to_go))
    else:
        found.append(text_point("magnet_lets_go", "card.text.magnet_as_coupon", sources=["practice"]))
    if work.plan.by_eye:
        seconds = value_of("by_eye_low_s")
        found.append(
            set_point(
                "after_magnet",
                seconds,
                unit="s",
                minus=0,
                plus=value_of("by_eye_high_s") - seconds,
                sources=["practice"],
            )
        )
    return found


def checks(work: Work) -> list[dict[str, Any]]:
    """Return what is looked at before the quench, the last that can be."""
    found = [
        check("magnet", "magnet_edge_zone" if work.plan.zone_kind == "edge" else "magnet_zone"),
        check(None, "shadow_passed"),
        check("colour", "even_colour_edge"),
    ]
    if work.metal.kind == "layers":
        found.append(check("magnet", "magnet_layers"))
    if not work.metal.known:
        found.append(check(None, "same_as_coupon"))
    if work.plan.by_eye:
        found.append(
            check(
                "colour",
                "by_eye_shade",
                {
                    "from_s": value_of("by_eye_low_s"),
                    "to_s": value_of("by_eye_high_s"),
                    "soak_s": work.metal.row["soak_s"],
                },
            )
        )
    else:
        found.append(check("blade_temperature", "thermocouple_at_set_point"))
    if work.plan.soft_tang == "kept_out":
        found.append(check(None, "tang_dull"))
    return found


def longest_hot(work: Work) -> dict[str, Any]:
    """Return the longest time in the heat: the soak, and what may be spent beyond it."""
    beyond_s = float(value_of("heat_longest_s"))
    return set_point(
        "longest_hot",
        work.metal.row["soak_s"] + beyond_s,
        unit="s",
        sources=work.metal.sources("soak") + sources_of("heat_longest_s"),
        notes=[note("card.note.beyond_soak", {"beyond_s": beyond_s})],
    )


def hardening_heat(work: Work) -> dict[str, Any]:
    """Return the step."""
    found = points(work)
    shop = work.plan.shop
    found.append(limit_point("tries", "heat_tries", shop=shop))
    found.append(longest_hot(work))
    found = found + forge_lit(work)
    return step(
        "hardening-heat",
        kind="hardening_heat",
        states=["hardening_heat"],
        title=note("card.title.hardening_heat"),
        set_points=found,
        checks=checks(work),
        hazards=["HOT"],
        cautions=["forge_lit", "heat_tries", "no_plated_metal"],
        why=note(
            "card.why.hardening_heat_edge" if work.plan.zone_kind == "edge" else "card.why.hardening_heat"
        ),
        follow_ups=[
            follow_up("still_magnetic"),
            follow_up("uneven"),
            follow_up("sparks", {"temperature_c": work.numbers.cycles[0].temperature_c})
            if work.numbers.cycles
            else follow_up(
                "sparks", {"temperature_c": work.metal.row["normalise_c"] or work.metal.row["aim_c"]}
            ),
        ],
    )
