"""Straighten now: the seconds in which the blade still bends."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_parts import (
    banded_point,
    check,
    follow_up,
    set_point,
    step,
    text_point,
)
from temperward.engine.process.card_work import Work
from temperward.engine.process.limit_values import value_of
from temperward.engine.quantities import note


def points(work: Work) -> list[dict[str, Any]]:
    """Return Ms and, where there is a window, its seconds and the temperature at which it shuts."""
    found = [banded_point("ms", work.numbers.ms)]
    window = work.numbers.window
    if window is None:
        found.append(text_point("bend_until", "card.text.no_window", sources=["practice"]))
        return found
    found.append(banded_point("bend_until", window["bend"]))
    if window["safe_s"] < window["bend"]["value"]:
        found.append(
            set_point(
                "bend_safe",
                window["safe_s"],
                unit="s",
                sources=window["bend"]["sources"] + work.metal.sources("ms_measured"),
                notes=[note("card.note.measured_ms", {"ms_c": window["safe_ms_c"]})],
            )
        )
    found.append(banded_point("gentle_until", window["gentle"]))
    found.append(
        set_point(
            "closed_below", window["closed_c"], unit="degC", sources=["koistinenMarburger1959", "design"]
        )
    )
    return found


def why_key(work: Work) -> str:
    """Return why there is a window, or none."""
    if work.numbers.window is not None:
        return "card.why.window"
    if not work.metal.known:
        return "card.why.no_window_unknown"
    if work.plan.in_water:
        return "card.why.no_window_water"
    if work.plan.dips[-1].kind == "plates":
        return "card.why.no_window_plates"
    return "card.why.no_window"


def straighten_now(work: Work) -> dict[str, Any]:
    """Return the step; without a window it says so and leaves the blade alone."""
    open_window = work.numbers.window is not None
    checks = [check(None, "clamp_only")]
    if open_window:
        checks = [
            check("sight", "sight_once"),
            check(None, "stop_at_stiffness"),
            check(None, "back_below", {"temperature_c": value_of("into_oven_c")}),
        ]
    return step(
        "straighten-now",
        kind="straighten_now",
        states=["warm_window"],
        title=note("card.title.straighten_now" if open_window else "card.title.no_window"),
        set_points=points(work),
        checks=checks,
        hazards=["HOT", "STIFFENING"] if open_window else ["HOT", "BRITTLE"],
        cautions=["gloves_fail"] if open_window else ["hard_shatters"],
        why=note(why_key(work)),
        follow_ups=[follow_up("still_bent")],
    )
