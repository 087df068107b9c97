"""The instants at which an answer changes by time alone."""

from __future__ import annotations

from typing import Any

from temperward.engine.process import clocks, oven, phases_hard, timeline
from temperward.engine.process.baths import newest
from temperward.engine.process.catch_up import asked
from temperward.engine.process.frozen_limits import timer
from temperward.engine.process.view import View

SECOND_MS = 1000


def changes_at_ms(view: View, undo: dict[str, Any] | None) -> list[int]:
    """Return them in order, those still to come, each once."""
    instants = _of_story(view) + _of_clocks(view) + _of_gates(view) + _of_hard(view)
    if undo is not None:
        instants.append(undo["until_ms"])
    one = asked(view)
    if one is not None:
        instants.append(one["overdue_ms"])
    found: list[int] = []
    for instant in sorted([int(at_ms) for at_ms in instants if at_ms is not None]):
        if instant > view.now_ms and (not found or found[-1] != instant):
            found.append(instant)
    return found


def _of_story(view: View) -> list[int | None]:
    story = view.story
    found = [timeline.next_move_ms(story), timeline.flare_ms(story), clocks.cooling_due_ms(story)]
    heat = story.heat
    if heat is not None and heat.first_try_ms is not None:
        found.append(int(heat.first_try_ms + timer("tip_hot_s") * SECOND_MS))
    if heat is not None and heat.going_ms is not None and story.state == "hardening_heat":
        found.append(int(heat.going_ms + timer("going_late_s") * SECOND_MS))
    stay = story.stay()
    if stay is not None:
        found.append(oven.due_ms(story, stay))
    return found


def _of_clocks(view: View) -> list[int | None]:
    found: list[int | None] = []
    for clock in view.clocks:
        found.append(clock["due_ms"])
        found += [stage["due_ms"] for stage in clock["stages"]]
    if view.window is not None:
        found += [view.window[name] for name in ("stiffening_ms", "bend_until_ms", "gentle_until_ms")]
    return found


def _of_gates(view: View) -> list[int | None]:
    return [one["expires_ms"] for gate in view.gates for one in gate["items"]]


def _of_hard(view: View) -> list[int | None]:
    story = view.story
    quench = story.quench
    if quench is None or story.state not in ("snap_tempered", "hard", "warm_window", "in_quench"):
        return []
    found = [
        phases_hard.checks_from_ms(story, quench),
        phases_hard.offered_until_ms(story, quench),
        phases_hard.boiling_until_ms(quench),
        phases_hard.stiff_until_ms(story, quench),
    ]
    reading = newest(story, check="oven_temperature", kind="oven")
    if reading is not None:
        found.append(phases_hard.oven_until_ms(story, reading["at_ms"]))
    return found
