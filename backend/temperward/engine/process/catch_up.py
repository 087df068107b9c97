"""After an absence: what ran meanwhile, and the answers that put the record right."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.actions import mark_action, wait_action
from temperward.engine.process.clocks import brittle_stages_ms, cooling_due_ms, cycle_soak_due_ms
from temperward.engine.process.frozen_limits import timer
from temperward.engine.process.gate_quench_go import soak_due_ms
from temperward.engine.process.next_action import wrong_action
from temperward.engine.process.oven import due_ms
from temperward.engine.process.story import OVEN_STATES, UNTEMPERED_STATES, Story
from temperward.engine.process.view import View
from temperward.engine.quantities import note

SECOND_MS = 1000
ORDER = ["brittle", "hot", "temper", "bath", "waiting"]


def asked(view: View) -> dict[str, Any] | None:
    """Return {danger, mark, wrong, overdue_ms} of what is asked about this blade, if anything is."""
    story = view.story
    if story.state in UNTEMPERED_STATES:
        return _asked("brittle", "in_oven", "called_away_hard", brittle_ms(story))
    if story.state in ("hardening_heat", "cycle_in_heat"):
        mark = "quenched" if story.state == "hardening_heat" else "out_of_fire"
        return _asked("hot", mark, "called_away_in_heat", heat_ms(story))
    if story.state in OVEN_STATES and story.stay() is not None:
        return _asked("temper", "out_of_oven", "power_cut_in_temper", temper_ms(story))
    if story.state == "ready_to_harden":
        return _asked("bath", "hardening_fire", "bath_too_cold", ready_ms(view))
    return _asked_of_waiting(story)


def _asked_of_waiting(story: Story) -> dict[str, Any] | None:
    if story.state == "snap_tempered" and story.snap_ms is not None:
        at_ms = int(story.snap_ms + timer("snap_reminder_s") * SECOND_MS)
        return _asked("brittle", "in_oven", "called_away_hard", at_ms)
    if story.state == "cycle_cooling":
        return _asked("waiting", "cold", "phone_lost", cooling_due_ms(story))
    if story.state == "temper_cooling" and not story.cold:
        return _asked("waiting", "cold_after_temper", "phone_lost", cooling_due_ms(story))
    return None


def _asked(danger: str, mark: str, wrong: str, overdue_ms: int | None) -> dict[str, Any]:
    return {"danger": danger, "mark": mark, "wrong": wrong, "overdue_ms": overdue_ms}


def brittle_ms(story: Story) -> int | None:
    """Return from when a hard blade is overdue."""
    return None if story.quench is None else int(brittle_stages_ms(story, story.quench)[0])


def heat_ms(story: Story) -> int | None:
    """Return from when a blade has been in the fire too long."""
    if story.heat is None:
        return None
    soaked_ms = soak_due_ms(story) if story.state == "hardening_heat" else cycle_soak_due_ms(story)
    if soaked_ms is None:
        return int(story.heat.in_ms + timer("heat_up_s") * SECOND_MS)
    return int(soaked_ms + timer("heat_overdue_s") * SECOND_MS)


def temper_ms(story: Story) -> int | None:
    """Return from when a temper has gone on too long."""
    stay = story.stay()
    ready_ms = None if stay is None else due_ms(story, stay)
    return None if ready_ms is None else int(ready_ms + timer("temper_overdue_s") * SECOND_MS)


def ready_ms(view: View) -> int | None:
    """Return when the readings that made it ready ran out."""
    gate = view.gate("ready_to_harden")
    ends = (
        [] if gate is None else [one["expires_ms"] for one in gate["items"] if one["expires_ms"] is not None]
    )
    return min(ends) if ends else None


def catch_up(view: View) -> list[dict[str, Any]]:
    """Return what to ask when somebody comes back to this blade."""
    one = asked(view)
    if one is None or view.story.people:
        return []
    overdue = one["overdue_ms"] is not None and view.now_ms >= one["overdue_ms"]
    body = {"purpose": "temper"} if one["mark"] == "in_oven" else None
    others = [wait_action("not_yet")]
    if one["mark"] == "quenched":
        others.append(mark_action("heat_aborted", kind="wait"))
    return [
        {
            "danger": ORDER.index(one["danger"]),
            "overdue": overdue,
            "text": note("fold.catch_up." + one["danger"] + (".over" if overdue else "")),
            "answers": [mark_action(one["mark"], body=body)] + others + [wrong_action(one["wrong"])],
        }
    ]
