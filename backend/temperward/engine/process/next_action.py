"""The one primary action of a moment, the few small ones beside it, and everything else that is allowed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine import data_files
from temperward.engine.facts import is_number
from temperward.engine.process import baths
from temperward.engine.process.actions import (
    check_action,
    choice_action,
    label,
    mark_action,
    open_action,
    override_action,
)
from temperward.engine.process.gate_ready_for_heat import coupon_wanted
from temperward.engine.process.gates import base_of, missing
from temperward.engine.process.phases_hard import oven_ready, still_offered
from temperward.engine.process.said_facts import said
from temperward.engine.process.view import View

if TYPE_CHECKING:
    from temperward.engine.process.actions import Action

MOST_OFFERS = 3  # design: more are not read at arm's length
ALWAYS_OPEN = ["what_now", "note", "photo", "earlier", "card", "log"]
ENDS = ["record_lost", "scrapped"]
NEVER_IN_MORE = ["all_clear"]
QUIET = ["quench.going", "quench.late", "in_quench"]
OVEN_FIRST = ["brittle.oven", "brittle.oven_ready"]
OVEN_TO_READ = ["brittle.oven", "brittle.unknown", "brittle.cracked"]
CHECK_BODIES: dict[str, dict[str, Any]] = {
    "file": {"place": "edge"},
    "sight": {},
    "crack": {"method": "sight"},
}


def action_of(view: View, spec: dict[str, Any], facts: list[str]) -> Action | None:
    """Return the action that a phase describes, its form filled in with what the card says."""
    if "mark" in spec:
        words = said(view, facts)
        return mark_action(
            spec["mark"], kind=spec["kind"], words=spec.get("words"), facts=words, body=spec.get("body")
        )
    if "check" in spec:
        body = form(view, spec["check"], spec.get("body"))
        return check_action(spec["check"], kind=spec["kind"], words=spec.get("words"), body=body)
    if "choice" in spec:
        return choice_action(spec["choice"])
    if "override" in spec:
        return _override(view, spec["override"], spec["items"], words=spec.get("words", "override"))
    if "unread" in spec:
        return _unread(view, spec["kind"])
    return open_action(
        spec["screen"], kind=spec.get("kind", "plain"), words=spec.get("words"), finding=spec.get("finding")
    )


def _override(view: View, gate_id: str, names: list[str], *, words: str) -> Action | None:
    """Return the way around what this moment is about, and around nothing else."""
    gate = view.gate(gate_id)
    if gate is None:
        return None
    wanted = missing(gate)
    for one in gate["items"]:
        if one["id"] in wanted and one["overridable"] and base_of(one["id"]) in names:
            return override_action(gate_id, [one["id"]], words=words)
    return None


def fire_line(view: View) -> list[dict[str, Any]]:
    """Return what has no way around and is not as it must be, before a blade goes into the bath."""
    gate = view.gate("ready_to_harden")
    items = [] if gate is None else gate["items"]
    return [one for one in items if not one["overridable"] and one["passed"] is not True]


def _unread(view: View, kind: str) -> Action | None:
    """Return the look that the first thing on the fire line waits for."""
    for one in fire_line(view):
        if one["check"] is not None:
            return check_action(one["check"]["check"], kind=kind, body=one["check"].get("body"))
    return None


def _bath_form(view: View) -> dict[str, Any] | None:
    """Return which of several baths is to be read next: the first that has no good reading."""
    dips = baths.dips_of(view.story)
    for dip in dips:
        one = view.item("ready_to_harden", dip.item_id)
        if one is not None and one["passed"] is not True and one["overridden"] is None:
            return dip.form()
    return dips[0].form()


def form(view: View, check: str, body: dict[str, Any] | None) -> dict[str, Any] | None:
    """Return what a check's form begins with."""
    filled = {} if body is None else dict(body)
    limits = view.story.limits
    if check == "file" and limits.has("file_must_not_cut_hrc") and view.story.state == "hard":
        filled["file_hrc"] = limits.number("file_must_not_cut_hrc", 0.0)
    if check in ("straightness", "bow"):
        length_mm = view.story.bows[-1]["length_mm"] if view.story.bows else limits.fact("length_mm")
        if is_number(length_mm):
            filled["length_mm"] = length_mm
    more: dict[str, Any] | None = None
    if check == "coupon":
        more = coupon_wanted(view.story)
    if check == "bath_temperature":
        more = _bath_form(view)
    if more is not None:
        filled.update(more)
    return filled or None


def actions_of(
    view: View, phase: dict[str, Any], phase_id: str
) -> tuple[Action | None, list[Action], list[Action]]:
    """Return (next, offers, more) of a phase."""
    facts = phase.get("facts", [])
    spec = phase.get("next")
    first = None if spec is None else action_of(view, spec, facts)
    offers = []
    for one in phase.get("offers", []):
        offer = action_of(view, one, facts)
        if offer is not None and _leads_on(view, offer):
            offers.append(offer)
    if phase_id in OVEN_TO_READ and _oven_waits(view):
        first, offers = _oven_read_first(view, phase_id, first, offers)
    if phase_id in OVEN_FIRST:
        looks = still_offered(view.story, view.now_ms)[:1]
        offers = [
            check_action(name, kind="plain", body=form(view, name, CHECK_BODIES[name])) for name in looks
        ] + offers
    shown = offers[:MOST_OFFERS]
    if phase_id in QUIET:
        rest = [action_of(view, one, facts) for one in phase.get("more", [])]
        return first, shown, [one for one in rest if one is not None]
    return first, shown, _more(view, first, shown, offers[MOST_OFFERS:])


def _oven_waits(view: View) -> bool:
    """Tell whether there is an oven to be read that is not ready."""
    return view.story.limits.temper_c(1) is not None and not oven_ready(view.story, view.now_ms)


def _oven_read_first(
    view: View, phase_id: str, way_in: Action | None, offers: list[Action]
) -> tuple[Action | None, list[Action]]:
    """Put the reading of the oven before all else that is small; with a crack, before the way in itself.

    A crack is not tempered away: there is time to read the oven, and the way in stays one press away.
    """
    check = "oven_temperature"
    rest = [one for one in offers if one.get("check") != check]
    cracked = phase_id == "brittle.cracked"
    reading = check_action(check, kind="wait" if cracked else "plain", body=form(view, check, None))
    if way_in is None:
        return None, [reading] + rest
    way_in["kind"] = "plain" if cracked else "wait"
    return (reading, [way_in] + rest) if cracked else (way_in, [reading] + rest)


def _leads_on(view: View, action: Action) -> bool:
    """Tell whether an offer changes anything: a hard blade goes back to soft only once it proved soft."""
    quench = view.story.quench
    if action.get("mark") != "rework" or view.story.state != "hard" or quench is None:
        return True
    return quench.by_air or quench.proved_soft()


def _more(view: View, first: Action | None, shown: list[Action], rest: list[Action]) -> list[Action]:
    """Return every other mark that may follow, every check of this state, the screens always open."""
    taken = {}
    for one in [first] + shown + rest:
        if one is not None:
            taken[_name(one)] = True
    marks = data_files.load("marks")
    follow = [
        mark for mark in marks["order"] if _may_follow(view, mark, marks) and "mark." + mark not in taken
    ]
    found = list(rest)
    found += [mark_action(mark, kind="stop" if mark in ENDS else "plain") for mark in follow]
    checks = data_files.load("states")["by_id"][view.story.state]["checks"]
    left = [check for check in checks if "check." + check not in taken]
    found += [check_action(check, kind="plain", body=form(view, check, None)) for check in left]
    found += [open_action(screen) for screen in ALWAYS_OPEN if "open." + screen not in taken]
    return found


def _may_follow(view: View, mark: str, marks: dict[str, Any]) -> bool:
    starts = marks["by_id"][mark]["from"]
    return mark not in NEVER_IN_MORE and (starts == "any" or view.story.state in starts)


def _name(action: Action) -> str:
    target = action.get(action["do"], action.get("screen", ""))
    if action["do"] == "open":
        target = action["screen"] + ("" if action.get("finding") is None else "." + action["finding"])
    return str(action["do"]) + "." + str(target)


def wrong_action(finding: str) -> Action:
    """Return the answer that something went wrong."""
    action = open_action("what_now", kind="stop", finding=finding)
    action["label"] = label("went_wrong")
    return action
