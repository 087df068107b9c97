"""A newer engine's card for a blade whose card is kept: what moved, and never where it could disturb."""

from __future__ import annotations

from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import EngineError, UnknownName
from temperward.engine.facts import is_number
from temperward.engine.process.card import make_card
from temperward.engine.process.card_moved import Group, fingerprint, moved
from temperward.engine.process.card_moved_table import tables
from temperward.engine.process.fold import HeldLog
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

ASKED = ["log_kind", "log_id", "entries", "related", "now_ms", "engine_version"]
# Cold, soft and in nobody's tongs: nothing is offered in the fire, and nothing once the steel was quenched.
BEFORE_THE_GRIND = ["planned", "coupon_being_proved"]
BEFORE_A_HEAT = ["planned", "coupon_being_proved", "shaped", "ground_ready"]
OFFERED_IN = ["planned", "coupon_being_proved", "shaped", "ground_ready", "cycle_checked", "ready_to_harden"]
WORDED = ["offered", "left", "refused"]


def card_offer(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `card_offer`: takes what `fold` takes of a blade and `engine_version`, that of whoever asks.

    A kept card is never recomputed. From its own facts, the shop's limits and the bar's analysis among them,
    the card of today is made beside it, and the steps still to be done are compared. `is` says how it stands:
    `offered`; `left` (somebody chose to keep the old numbers, and nothing has moved since); `same`;
    `replaced` (these very numbers were in force before, and this is no later release: two builds in one shop
    do not offer each other's for ever); `newer_card` (made by a later release: no step back is offered);
    `refused` (this engine takes the kept facts no more, `refusal` says which); `not_now`; `no_card`. `text`
    stands on the card, `line` where one goes to it from; `actions` take the new card or leave the old one.
    """
    facts_module.only(facts, ASKED)
    ours = facts.get("engine_version")
    if ours is not None and not isinstance(ours, str):
        raise UnknownName(field="engine_version", value=None, reason="refusal.not_a_text")
    held = HeldLog(facts.get("entries"))
    story = held.read({name: facts[name] for name in sorted(facts) if name != "engine_version"})
    if story is None:
        raise UnknownName(
            field="log_kind", value=facts["log_kind"], reason="refusal.unknown_name", choices=["piece"]
        )
    answer = _answer(story, held.ordered.events, ours="" if ours is None else ours)
    answer["log_id"] = facts["log_id"]
    return answer


def _answer(story: Story, events: list[Group], *, ours: str) -> Group:
    kept = _entry(events, story.card_id)
    if kept is None:
        return _said("no_card")
    made_by = version_of(kept)
    if story.people or state_of(story) not in OFFERED_IN:
        return _said("not_now", kept=kept)
    if release(made_by) > release(ours) and ours:
        return _said("newer_card", kept=kept)
    if made_by == ours and ours:
        return _said("same", kept=kept)
    try:
        new = make_card(kept["body"]["card"].get("facts"))
    except EngineError as refusal:
        answer = _said("refused", kept=kept)
        answer["refusal"] = refusal.as_json()
        return answer
    return _compared(story, events, kept=kept, new=new, ours=ours)


def _compared(story: Story, events: list[Group], *, kept: Group, new: Group, ours: str) -> Group:
    """Return what moved, unless it was left or replaced before."""

    def to_do(step: Group) -> bool:
        return not is_done(story, step)

    groups = moved(kept["body"]["card"], new, to_do=to_do)
    if not groups:
        return _said("same", kept=kept)
    later = release(ours) > release(version_of(kept))
    for entry in [] if later else events:
        earlier = entry["body"].get("card") if entry["kind"] == "card_made" else None
        if earlier is None or earlier.get("facts") != new["facts"]:
            continue
        if not moved(earlier, new, to_do=to_do):
            return _said("replaced", kept=kept)
    told = fingerprint(groups)
    left = any(_is_left(entry, card_id=kept["id"], told=told) for entry in events)
    answer = _said("left" if left else "offered", kept=kept)
    answer["moved"] = groups
    answer["tables"] = tables(groups)
    take: Group = {
        "do": "card_made",
        "body": {"card": new, "replaces": kept["id"]},
        "label": note("offer.take"),
    }
    leave: Group = {"do": "choice", "choice": "card_left", "body": {"card_id": kept["id"], "moved": told}}
    leave["label"] = note("offer.leave")
    for action in [take] if left else [take, leave]:
        action["hold"] = False
        action["kind"] = "plain"
        answer["actions"].append(action)
    return answer


def _is_left(entry: Group, *, card_id: str, told: list[str]) -> bool:
    """Tell whether somebody chose to keep this card's numbers although these had moved."""
    body = entry["body"]
    if entry["kind"] != "choice" or body["choice"] != "card_left":
        return False
    return bool(body.get("card_id") == card_id and body.get("moved") == told)


def _said(name: str, *, kept: Group | None = None) -> Group:
    return {
        "is": name,
        "text": note("offer." + name) if name in WORDED else None,
        "line": note("offer." + name) if name == "offered" else None,
        "card_id": None if kept is None else kept["id"],
        "moved": [],
        "pictures": [],
        "tables": [],
        "actions": [],
        "refusal": None,
    }


def version_of(entry: Group) -> str:
    """Return the engine that an entry says it was made with."""
    version = entry.get("engine_version")
    return version if isinstance(version, str) else ""


def state_of(story: Story) -> str:
    """Return the state that the work stands in; put aside, that in which it was."""
    return story.aside if story.state == "put_aside" else story.state


def is_done(story: Story, step: Group) -> bool:
    """Tell whether a step of the card lies behind this blade; the one that it stands before does not."""
    state, kind = state_of(story), step.get("kind")
    if kind == "prove_coupon":
        return state not in BEFORE_THE_GRIND
    if kind == "ground_ready":
        return state not in BEFORE_A_HEAT
    if kind == "cycle" and is_number(step.get("cycle")) and step["cycle"] <= story.cycles_done:
        return True
    if kind == "stress_relief" and story.relieved:
        return True
    return kind in ("cycle", "stress_relief", "clay") and state == "ready_to_harden"


def release(engine_version: str) -> list[int]:
    """Return the release of an engine as numbers that can be compared; what has none is older than all.

    >>> release("0.12.1+3fa9") > release("0.9.0+ffff"), release("a test")
    (True, [])
    """
    numbers = []
    for part in engine_version.split("+", 1)[0].split("."):
        digits = ""
        for letter in part:
            if letter not in "0123456789":
                break
            digits += letter
        if digits == "":
            break
        numbers.append(int(digits))
    return numbers


def _entry(events: list[Group], entry_id: str | None) -> Group | None:
    for entry in events:
        if entry["id"] == entry_id:
            return entry
    return None
