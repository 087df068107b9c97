"""Reading a log in shop order: each entry changes the story, and so does the time between two entries."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from temperward.engine import data_files
from temperward.engine.process import (
    gate_ready_for_heat,
    gate_ready_to_harden,
    gate_release,
    gate_temper_done,
    gates,
)
from temperward.engine.process.check_effects import check
from temperward.engine.process.frozen_limits import Limits, timer
from temperward.engine.process.mark_effects import EFFECTS
from temperward.engine.process.other_effects import choice, finding, finding_closed, override
from temperward.engine.process.oven import hot_enough_ms
from temperward.engine.process.oven_effects import OVEN_EFFECTS, put_back
from temperward.engine.process.story import BRITTLE_STATES, OVEN_STATES, UNTEMPERED_STATES, Story
from temperward.engine.process.timeline import MOVES_BY_TIME, advance

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

SECOND_MS = 1000
NAMES = ["bath_id", "oven_id", "coupon_id"]
QUENCH_MARKS = ["quenched", "air_hardened"]
LEAVES_OVEN = ["in_fire", "hardening_fire", "out_of_fire"]
SAYS_STILL_HARD = ["out_of_bath", "stiff", "hand_warm", "boiling_water"]
# Marks that only say how things stand: out of order they change nothing, no blade is talked out of danger.
ON_PAPER = ["at_heat", "broken_up", "cold_after_temper", "final_check", "grinding", "out_of_oven"]
ON_PAPER += ["put_aside", "released", "softened", "taken_up", "tempered"]
LEAVES = ["straightening_soft", "put_aside", "scrapped", "record_lost"]
BEFORE_SHAPING = ["planned", "coupon_being_proved"]
COUPON_STEPS = ["coupon", "coupons"]  # the temper ladder comes after the proof
GATED = {"tempered": gate_temper_done, "released": gate_release}


def read_on(story: Story, events: list[Entry], *, first: int) -> None:
    """Go on with a story from a place in the log."""
    if first == 0 and events:
        story.since_ms = events[0]["happened_ms"]
    naming = len(story.related) > 0
    for index in range(first, len(events)):
        entry = events[index]
        if story.state in MOVES_BY_TIME or story.flare is not None:
            advance(story, entry["happened_ms"])
        if naming:
            _name_things(story, entry)
        story.initials = entry.get("initials", "")
        READERS[entry["kind"]](story, entry)


def _name_things(story: Story, entry: Entry) -> None:
    for name in NAMES:
        if name in entry["body"]:
            story.named[str(entry["body"][name])] = True


def piece_made(story: Story, entry: Entry) -> None:
    """Name the blade."""
    story.made = entry["body"]


def card_made(story: Story, entry: Entry) -> None:
    """Go by this card from now on, unless another was written down later, or chosen before it."""
    before = story.cards[:]
    story.cards.append(entry)
    for other in before:
        if _rivals(other, entry) and other["body"]["card"].get("limits") != entry["body"]["card"].get(
            "limits"
        ):
            story.conflicts.append({"check": "card_made", "entry_ids": [other["id"], entry["id"]]})
    if any(other["id"] == story.card_id and _outranks(story, other, entry) for other in before):
        return
    story.limits = Limits(entry["body"]["card"])
    story.card_id = entry["id"]
    _coupon_first(story, entry)


def _coupon_first(story: Story, entry: Entry) -> None:
    """Wait for the coupon that the card begins with; a changed plan may do without one."""
    wanted = any(step.get("id") in COUPON_STEPS for step in story.limits.steps)
    state = "coupon_being_proved" if wanted else "planned"
    if story.state in BEFORE_SHAPING and story.state != state:
        story.move(state, at_ms=entry["happened_ms"], entry_id=entry["id"])


def _rivals(one: Entry, other: Entry) -> bool:
    """Tell whether two phones replaced the same card."""
    replaces = one["body"].get("replaces")
    return (
        replaces is not None
        and replaces == other["body"].get("replaces")
        and one["device_id"] != other["device_id"]
    )


def _outranks(story: Story, one: Entry, other: Entry) -> bool:
    """Tell whether the first of two cards is in force: what replaces what goes by the order of writing down.

    Shop order would let the phone whose clock is ahead have the last word for ever. Of two that replace the
    same card the chosen one is in force.
    """
    if _rivals(one, other):
        first, second = one["id"] in story.chosen, other["id"] in story.chosen
        if first != second:
            return first
    if one["lamport"] != other["lamport"]:
        return bool(one["lamport"] > other["lamport"])
    return bool(one["id"] > other["id"])


def same_as(story: Story, entry: Entry) -> None:
    """Remember that another log is of the same blade: each holds both ids, what two say is said once."""
    for name in ("log_id", "with_id"):
        other = entry["body"].get(name)
        if other is not None and other != entry["log_id"] and other not in story.same_as:
            story.same_as.append(other)


def nothing(_story: Story, _entry: Entry) -> None:
    """A note or a photo changes no state."""


def mark(story: Story, entry: Entry) -> None:
    """Move the blade by a mark; an order that cannot be is stored and flagged, never refused."""
    name = entry["body"]["mark"]
    rule = story.marks[name]
    if story.flare is not None and name != "all_clear":
        story.flare = None  # whoever goes on marking is not standing before a fire
    if name in MAY_CHANGE_NOTHING and MAY_CHANGE_NOTHING[name](story, entry):
        return
    allowed = rule["from"] == "any" or story.state in rule["from"] or _softens(story, name)
    if not allowed:
        _out_of_order(story, entry)
        if _held(story, entry, rule):
            return
    elif name in GATED and _gate_shut(story, entry, name):
        return
    if name in FOR_THE_RECORD:
        FOR_THE_RECORD[name](story, entry, name)
    _take(story, entry, name, rule["to"])


def _take(story: Story, entry: Entry, name: str, to: str | None) -> None:
    was = story.state
    if to is not None:
        if to in LEAVES:
            _leave(story, to)
        story.move(to, at_ms=entry["happened_ms"], entry_id=entry["id"])
    if name in OVEN_EFFECTS:
        OVEN_EFFECTS[name](story, entry, was)
    elif name in EFFECTS:
        EFFECTS[name](story, entry)


def _leave(story: Story, to: str) -> None:
    """Remember where the blade was, or that it is still brittle where its record ends."""
    if to == "straightening_soft":
        story.before = story.state
    elif to == "put_aside":
        story.aside = story.state
    elif story.quench is not None and not story.tempered_once:
        story.scrap_brittle = True


def _tempered_at_its_end(story: Story, _entry: Entry) -> bool:
    """Tell whether a blade was given up before: tempered, it is no danger any more, and stays given up."""
    if story.state not in data_files.load("states")["ended"]:
        return False
    story.scrap_brittle = False
    return True


def _out_of_order(story: Story, entry: Entry) -> None:
    """Raise the flag; where another phone says something else of a hard blade, leave the question open."""
    name = entry["body"]["mark"]
    story.flag("order", {"entry_id": entry["id"], "mark": name, "state": story.state})
    quench = story.quench
    if quench is None or entry["device_id"] == quench.device_id or entry["id"] in story.chosen:
        return
    stay = story.stay()
    if story.state in UNTEMPERED_STATES:
        _leave_open(story, quench.entry_id, entry["id"])
    elif stay is not None and name in SAYS_STILL_HARD and stay.from_state == "hard":
        _leave_open(story, stay.entry_id, entry["id"])
        if story.open_question is not None:
            stay.out_ms = entry["happened_ms"]
            put_back(story, stay)


def _leave_open(story: Story, first_id: str, second_id: str) -> None:
    if first_id not in story.chosen and second_id not in story.chosen:
        story.open_question = [first_id, second_id]


def _held(story: Story, entry: Entry, rule: dict[str, Any]) -> bool:
    """Tell whether the mark changes nothing: a hard blade stays hard, and what has ended stays ended."""
    states = data_files.load("states")
    if entry["id"] in story.chosen:
        return False
    if story.state in states["ended"]:
        if rule["mark"] in QUENCH_MARKS:
            story.scrap_brittle = True
        return True
    if rule.get("always"):
        return False
    if story.state in states["held"] or rule["mark"] in ON_PAPER + SAYS_STILL_HARD:
        return True
    if rule["mark"] == "cold" or rule["to"] == story.state:
        return True  # a second phone says it too: no second cycle, no second heat
    return story.state in OVEN_STATES and not _leaves_oven(story, entry)


def _leaves_oven(story: Story, entry: Entry) -> bool:
    """Tell whether the mark takes a blade out of the oven without a word; never one that is still hard."""
    if entry["body"]["mark"] not in LEAVES_OVEN:
        return False
    stay = story.stay()
    if stay is None or stay.from_state not in ("hard", "snap_tempered"):
        return True
    hot_ms = hot_enough_ms(story, stay)
    return hot_ms is not None and hot_ms <= entry["happened_ms"]


def _softens(story: Story, name: str) -> bool:
    """Tell whether a hard blade may go into the fire: it hardened in air, or it proved soft."""
    if story.state != "hard" or story.quench is None or name not in ("in_fire", "rework"):
        return False
    return story.quench.by_air or story.quench.proved_soft()


def _same_quench(story: Story, entry: Entry) -> bool:
    """Tell whether this blade is already quenched, and note what the second mark means."""
    quench = story.quench
    if quench is None or entry["id"] in story.chosen or story.tempered_once:
        return False
    if story.state not in BRITTLE_STATES and story.state not in OVEN_STATES:
        return False
    apart_ms = entry["happened_ms"] - quench.at_ms
    if entry["device_id"] == quench.device_id:
        if apart_ms > timer("double_mark_s") * SECOND_MS:
            story.flag(
                "order", {"entry_id": entry["id"], "mark": entry["body"]["mark"], "state": story.state}
            )
        return story.state in BRITTLE_STATES or apart_ms <= timer("double_mark_s") * SECOND_MS
    if apart_ms <= timer("same_quench_s") * SECOND_MS:
        if quench.entry_id not in story.chosen:
            story.conflicts.append({"check": "quenched", "entry_ids": [quench.entry_id, entry["id"]]})
        return True
    story.flag("order", {"entry_id": entry["id"], "mark": entry["body"]["mark"], "state": story.state})
    return story.state in BRITTLE_STATES


def _gate_shut(story: Story, entry: Entry, name: str) -> bool:
    """Tell whether the gate before this mark is shut: the mark is kept and flagged, and changes nothing."""
    module = GATED[name]
    gate = gates.settle(module.items(story, entry["happened_ms"]), module.GATE, story, entry["happened_ms"])
    if gate["open"] or entry["id"] in story.chosen:
        return False
    story.flag("gate_shut", {"entry_id": entry["id"], "gate": module.GATE, "items": gates.missing(gate)})
    return True


def _went_on(story: Story, entry: Entry, name: str) -> None:
    """Record what was not ready when the blade went into the fire or into the bath."""
    at_ms = entry["happened_ms"]
    gate = gates.settle(gate_ready_to_harden.items(story, at_ms), "ready_to_harden", story, at_ms)
    against = [one["id"] for one in gate["items"] if not one["overridable"] and _stands_against(one)]
    if against:
        story.flag("against_fire_line", {"entry_id": entry["id"], "items": against})
    if name == "hardening_fire" and not gate["open"]:
        story.flag(
            "went_on",
            {"entry_id": entry["id"], "gate": "ready_to_harden", "items": gates.missing(gate)},
        )


def _stands_against(one: dict[str, Any]) -> bool:
    """Tell whether an item failed, or was never looked at; a reading that only ran out once was good."""
    return one["passed"] is False or (one["passed"] is None and one["expires_ms"] is None)


def _unproven(story: Story, entry: Entry, _name: str) -> None:
    """Record, once, that it went on without a proof that it hardens."""
    if gate_ready_for_heat.proven(story):
        return  # its one hard item: asked first, since every heat of a log comes by here
    name = gate_ready_for_heat.GATE
    if any(one["id"] == "went_on" and one["facts"]["gate"] == name for one in story.flags):
        return
    at_ms = entry["happened_ms"]
    gate = gates.settle(gate_ready_for_heat.items(story, at_ms), name, story, at_ms)
    if not gate["open"]:
        facts = {"entry_id": entry["id"], "gate": name, "items": gates.missing(gate)}
        story.flag("went_on", facts)


MAY_CHANGE_NOTHING: dict[str, Callable[[Story, Entry], bool]] = {
    "quenched": _same_quench,
    "air_hardened": _same_quench,
    "tempered": _tempered_at_its_end,
}
FOR_THE_RECORD: dict[str, Callable[[Story, Entry, str], None]] = {  # stop points that a mark goes through
    "hardening_fire": _went_on,
    "quenched": _went_on,
    "in_fire": _unproven,
    "ready": _unproven,
}


READERS = {
    "piece_made": piece_made,
    "card_made": card_made,
    "mark": mark,
    "check": check,
    "finding": finding,
    "finding_closed": finding_closed,
    "override": override,
    "choice": choice,
    "same_as": same_as,
    "note": nothing,
    "photo": nothing,
}
