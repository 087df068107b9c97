"""After an absence: what ran meanwhile, and the answers that put the record right.

An answer comes later than what it tells of. It carries since when that may have been, and which end of
that time to take: the one that errs towards the temper and away from burnt fingers. Whoever keeps the answer
writes it back-dated, the rest of the time as its uncertainty.
"""

from __future__ import annotations

from typing import Any

from temperward.engine.process.actions import mark_action, since, wait_action
from temperward.engine.process.clocks import brittle_stages_ms, cooling_due_ms, cycle_soak_due_ms
from temperward.engine.process.frozen_limits import timer
from temperward.engine.process.gate_quench_go import soak_due_ms
from temperward.engine.process.next_action import wrong_action
from temperward.engine.process.oven import due_ms, readings_of
from temperward.engine.process.story import OVEN_STATES, UNTEMPERED_STATES, Story
from temperward.engine.process.view import View
from temperward.engine.quantities import note

SECOND_MS = 1000
ORDER = ["brittle", "hot", "temper", "bath", "waiting"]
# A quench at its earliest, so that the clock of a hard blade never starts late; out of the oven at its
# earliest, so that no hold counts that may not have been. All else at its latest: hot for longer.
CLAIMS_FIRST = ["quenched", "out_of_oven"]


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
    others = [wait_action("not_yet")]
    if one["mark"] == "quenched":
        others.append(_done(view, mark_action("heat_aborted", kind="wait")))
    return [
        {
            "danger": ORDER.index(one["danger"]),
            "overdue": overdue,
            "text": note("fold.catch_up." + one["danger"] + (".over" if overdue else "")),
            "answers": [_did_it(view, one["mark"])] + others + [wrong_action(one["wrong"])],
        }
    ]


def _did_it(view: View, mark: str) -> dict[str, Any]:
    """Return the answer that it was done meanwhile; out of an oven whose hold has passed, it was by then."""
    body = {"purpose": "temper"} if mark == "in_oven" else None
    held = mark == "out_of_oven" and _held_ms(view) is not None
    return _done(view, mark_action(mark, body=body, words="out_after_hold" if held else None))


def _done(view: View, action: dict[str, Any]) -> dict[str, Any]:
    """Return an answer with the time in which it may have happened."""
    mark = action["mark"]
    held_ms = _held_ms(view) if mark == "out_of_oven" else None
    from_ms = last_sign_ms(view.story) if held_ms is None else held_ms
    return since(action, from_ms=from_ms, claims="first" if mark in CLAIMS_FIRST else "last")


def _held_ms(view: View) -> int | None:
    """Return when the hold was long enough, if it was by now."""
    stay = view.story.stay()
    held_ms = None if stay is None else due_ms(view.story, stay)
    return held_ms if held_ms is not None and held_ms <= view.now_ms else None


def last_sign_ms(story: Story) -> int:
    """Return when the blade was last known to be where it is."""
    signs: list[float | None] = [story.since_ms]
    heat = story.heat
    if heat is not None and story.state in ("hardening_heat", "cycle_in_heat"):
        signs += [heat.in_ms, heat.first_try_ms, heat.magnet_ms, heat.even_ms, heat.going_ms]
    stay = story.stay()
    if stay is not None:
        signs += [stay.in_ms, stay.at_heat_ms]
        signs += [row[0] for row in readings_of(story, stay)]
    return int(max([sign for sign in signs if sign is not None]))
