"""Which of its moments a state is in: the word, the sentence and the next action hang on it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from temperward.engine.process import bows, clocks, gate_quench_go, gate_temper_done, oven
from temperward.engine.process.frozen_limits import timer
from temperward.engine.process.gate_ready_for_heat import coupon_mm, straight_enough
from temperward.engine.process.gate_ready_to_harden import cycles_wanted
from temperward.engine.process.gates import base_of, first_missing
from temperward.engine.process.mark_effects import next_heat
from temperward.engine.process.next_action import fire_line
from temperward.engine.process.phases_hard import hard
from temperward.engine.process.said_facts import FACTS
from temperward.engine.process.story import Story
from temperward.engine.process.view import View

SECOND_MS = 1000
GROUND_CHECKS = ["edge_thickness", "bow"]
MAGNET_TRIES = 3  # then air cool (source: practice)


def phase_of(view: View) -> str:
    """Return the moment this blade is in."""
    kind = view.story.people_kind()
    if kind is not None:
        return "people." + kind
    if view.story.state in PHASES:
        return PHASES[view.story.state](view)
    return view.story.state


def heats_left(story: Story) -> bool:
    """Tell whether a heat of the card, or one that is owed, is still to come."""
    return next_heat(story) == "stress_relief" or story.cycles_done < cycles_wanted(story)


def coupon_being_proved(view: View) -> str:
    """Until a coupon has proved it; from then on as any blade that is planned."""
    return "planned" if coupon_mm(view.story) is not None else "coupon_being_proved"


def shaped(view: View) -> str:
    """Before the first heat: the checks of the grind, then go."""
    for name in GROUND_CHECKS:
        one = view.item("ready_for_heat", name)
        if (
            one is not None
            and one["passed"] is None
            and not _answered(view, name)
            and one["overridden"] is None
        ):
            return "ground." + name
    gate = view.gate("ready_for_heat")
    return "ground.go" if gate is not None and gate["open"] else "ground.hardens"


def _answered(view: View, name: str) -> bool:
    return name in view.story.latest


def ground_ready(view: View) -> str:
    """Ground: what was not looked at, then into the fire, or to hardening where no heat is planned."""
    phase = shaped(view)
    if phase != "ground.go":
        return phase
    return "ground_ready.fire" if heats_left(view.story) else "ground_ready.ready"


def cycle_in_heat(view: View) -> str:
    """In the fire: even colour, soak, out."""
    due_ms = clocks.cycle_soak_due_ms(view.story)
    if due_ms is None:
        return "heat.rising"
    return "heat.soak" if view.now_ms < due_ms else "heat.soaked"


def cycle_cooling(view: View) -> str:
    """In still air until it can be held."""
    due_ms = clocks.cooling_due_ms(view.story)
    return "cooling.wait" if due_ms is not None and view.now_ms < due_ms else "cooling.done"


def cycle_checked(view: View) -> str:
    """Cold: the file where the steel hardens in air, then straightness, then on."""
    story = view.story
    if story.limits.says("air_hardens") and story.filed_after != story.heats_done:
        return "cold.file"
    straight = straight_enough(story)
    if straight is None:
        return "cold.straight"
    grown = bows.trend_row(story)
    if grown is not None and grown is story.bows[-1] and _trend_stands(view):
        return "cold.trend"
    if not straight and _bow_item_stands(view):
        return (
            "cold.kink" if bows.kink_mm(story) is not None else "cold.bow_" + str(story.bows[-1]["verdict"])
        )
    twisted = _twist(view)
    if twisted is not None:
        return twisted
    return _straight(view, grown)


def _twist(view: View) -> str | None:
    """Return the moment of a blade that was measured twisted."""
    one = view.item("ready_to_harden", "twist")
    if one is None or one["passed"] is True or one["overridden"] is not None:
        return None
    return "cold.twist" if one["passed"] is False else "cold.twist_again"


def _straight(view: View, grown: dict[str, Any] | None) -> str:
    """Return the moment of a blade that may go on."""
    story = view.story
    if heats_left(story):
        return "cold.next_heat"
    return "cold.ready" if grown is None or not _trend_stands(view) else "cold.trend"


def _bow_item_stands(view: View) -> bool:
    one = view.item("ready_to_harden", "bow")
    return one is not None and one["overridden"] is None and view.story.bows[-1]["verdict"] != "within"


def _trend_stands(view: View) -> bool:
    one = view.item("ready_to_harden", "trend")
    return one is not None and one["passed"] is not True and one["overridden"] is None


def ready_to_harden(view: View) -> str:
    """Open, or the first thing that stands against it."""
    gate = view.gate("ready_to_harden")
    one = None if gate is None else first_missing(gate)
    if one is None:
        return "ready.go"
    name = base_of(one["id"])
    if one["passed"] is False and name in OFF:
        return OFF[name](view)
    if one["check"] is not None and one["check"]["check"] == "flash_point":
        return "ready.flash_point"
    return "ready." + name


def _oven_off(view: View) -> str:
    gap_k = FACTS["gap_k"](view)
    return (
        "ready.oven_low"
        if gap_k is not None and FACTS["value_c"](view) < FACTS["of_c"](view)
        else "ready.oven_high"
    )


def _bath_off(view: View) -> str:
    if FACTS["bath_c"](view) < FACTS["low_c"](view):
        return "ready.bath_cold"
    return "ready.bath_hot" if FACTS["cool_ms"](view) is None else "ready.bath_cools"


OFF = {"oven": _oven_off, "bath_temperature": _bath_off}


def hardening_heat(view: View) -> str:
    """The magnet on the rising heat, even colour, the soak; then nothing is asked."""
    story = view.story
    heat = story.heat
    if heat is None:
        return "fire.go"
    if heat.going_ms is not None:
        late = view.now_ms - heat.going_ms >= timer("going_late_s") * SECOND_MS
        return "quench.late" if late else "quench.going"
    against = fire_line(view)
    if against:
        return "fire.against" if any(one["passed"] is False for one in against) else "fire.unread"
    if gate_quench_go.asked(story, "magnet") and heat.magnet_ms is None:
        return _magnet(view)
    if gate_quench_go.asked(story, "colour") and heat.even_ms is None:
        return "fire.uneven" if gate_quench_go.even_colour(story) is False else "fire.colour"
    due_ms = gate_quench_go.soak_due_ms(story)
    return "fire.soak" if due_ms is not None and view.now_ms < due_ms else "fire.go"


def _magnet(view: View) -> str:
    heat = view.story.heat
    if heat is None or heat.first_try_ms is None:
        return "fire.magnet"
    too_long = view.now_ms - heat.first_try_ms >= timer("tip_hot_s") * SECOND_MS
    return "fire.too_long" if too_long or heat.magnet_tries >= MAGNET_TRIES else "fire.magnet_again"


def warm_window(view: View) -> str:
    """Bend, bend while it stiffens, gently to the first stiffness."""
    found = view.window
    if found is None:
        return "window.gentle"
    if view.now_ms >= found["bend_until_ms"]:
        return "window.gentle"
    return "window.stiffening" if view.now_ms >= found["stiffening_ms"] else "window.bend"


def in_oven(view: View) -> str:
    """Read it, wait for the heat, hold, out."""
    story = view.story
    stay = story.stay()
    if stay is None:
        return "temper.jigged"
    due_ms = oven.due_ms(story, stay)
    if due_ms is not None and view.now_ms >= due_ms and oven.first_hot_ms(story, stay) is not None:
        return "temper.done"
    if not oven.hot_points(story, stay):
        return "temper.read"
    if due_ms is None:
        return "temper.cut" if stay.cuts_ms else "temper.low"
    return "temper.hold"


def temper_cooling(view: View) -> str:
    """Cool, look, then the next temper or the end of it."""
    story = view.story
    if not story.cold:
        due_ms = clocks.cooling_due_ms(story)
        return "temper_cooling.wait" if due_ms is not None and view.now_ms < due_ms else "temper_cooling.done"
    if gate_temper_done.jig_planned(story):
        return "temper_cold.jig"
    if not gate_temper_done.measured(story):
        return "temper_cold.straight"
    left = story.tempers_done < story.limits.tempers()
    one = view.item("temper_done", "straight")
    bowed = one is not None and one["passed"] is False and one["overridden"] is None
    if bowed:
        return "temper_cold.bowed"
    if left:
        return "temper_cold.again" if story.temper > story.tempers_done else "temper_cold.next"
    warm = view.item("temper_done", "warm_lift")
    return "temper_cold.extra" if warm is not None and warm["passed"] is False else "temper_cold.finish"


def tempered(view: View) -> str:
    """Soften the tang where the card says so, then finish."""
    softens = view.story.limits.fact("soft_tang") == "softened_after" and not view.story.tang_softened
    return "tempered.soften" if softens else "tempered"


def final_check(view: View) -> str:
    """Open, or the first thing that stands against it."""
    gate = view.gate("release")
    one = None if gate is None else first_missing(gate)
    again = view.item("reharden", "reharden")
    if one is None:
        return "final.go"
    if one["id"] != "hardness" or again is None:
        return "final." + str(one["id"])
    if again["overridden"] is not None:
        return "final.reharden"
    return "final.hardness_out" if again["overridable"] else "final.hardness_stays"


def ended(view: View) -> str:
    """Scrapped, kept or lost: brittle until broken up behind a guard."""
    return view.story.state + (".brittle" if view.story.scrap_brittle else "")


PHASES: dict[str, Callable[[View], str]] = {
    "coupon_being_proved": coupon_being_proved,
    "shaped": shaped,
    "ground_ready": ground_ready,
    "cycle_in_heat": cycle_in_heat,
    "cycle_cooling": cycle_cooling,
    "cycle_checked": cycle_checked,
    "ready_to_harden": ready_to_harden,
    "hardening_heat": hardening_heat,
    "warm_window": warm_window,
    "hard": hard,
    "temper_in_heat": in_oven,
    "straightening_in_temper": in_oven,
    "temper_cooling": temper_cooling,
    "tempered": tempered,
    "final_check": final_check,
    "scrapped": ended,
    "kept_as_sample": ended,
    "record_lost": ended,
}
