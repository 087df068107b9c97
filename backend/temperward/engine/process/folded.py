"""What a log folds to: everything that the screen shows."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine.process import bows
from temperward.engine.process.catch_up import asked, catch_up
from temperward.engine.process.changes import changes_at_ms
from temperward.engine.process.clocks import brittle_stages_ms
from temperward.engine.process.derived_findings import findings_of
from temperward.engine.process.flags import flags_of
from temperward.engine.process.frozen_limits import timer
from temperward.engine.process.gate_ready_to_harden import cycles_wanted
from temperward.engine.process.lot import lot_of
from temperward.engine.process.order import Ordered
from temperward.engine.process.said_facts import said
from temperward.engine.process.screen import screen_of
from temperward.engine.process.story import OVEN_STATES, UNTEMPERED_STATES, Story
from temperward.engine.process.temper_trouble import temper_of
from temperward.engine.process.view import View
from temperward.engine.quantities import note

SECOND_MS = 1000
UNDOABLE = [
    "mark",
    "check",
    "finding",
    "finding_closed",
    "override",
    "choice",
    "correct",
    "choose",
    "note",
    "photo",
    "same_as",
]
CYCLE_STATES = ["cycle_in_heat", "cycle_cooling", "cycle_checked", "straightening_soft"]
OVERDUE_LIFT = 9  # a temper gone on too long stands next behind steel in the fire (source: design)


def folded(ordered: Ordered, story: Story, *, log_id: str, now_ms: int) -> dict[str, Any]:
    """Return the folded state of one blade whose log was read up to now."""
    view = View(story, now_ms)
    undo = undo_of(ordered, now_ms)
    answer = {
        "log_id": log_id,
        "count": len(ordered.log),
        "last_id": ordered.log[-1]["id"] if ordered.log else None,
        "tag": story.made.get("tag"),
        "name": story.made.get("name"),
        "batch": story.made.get("batch"),
        "letter": story.made.get("letter"),
        "state": state_of(story),
        "gates": view.gates,
        "clocks": view.clocks,
        "window": view.window,
        "findings": findings_of(story),
        "flags": flags_of(story, ordered),
        "people": story.people_kind(),
        "bows": bows.shown(story),
        "trend": bows.trend(story),
        "conflicts": story.conflicts,
        "disputed": disputed(story),
        "overrides": story.override_ids,
        "corrected": ordered.corrected,
        "withdrawn": ordered.withdrawn,
        "unread": ordered.unread,
        "shop_order": ordered.shop_order,
        "same_as": story.same_as,
        "undo": undo,
        "catch_up": catch_up(view),
        "danger": danger_of(view),
        "at_work": data_files.load("states")["by_id"][story.state].get("at_work"),
        "card_id": story.card_id,
        "cycles_done": story.cycles_done,
        "cycles_planned": cycles_wanted(story),
        "tempers_done": story.tempers_done,
        "tempers_planned": story.limits.tempers(),
        "facts": facts_of(view),
        "lot": lot_of(view, log_id=log_id),
        "changes_at_ms": changes_at_ms(view, undo),
    }
    answer.update(screen_of(view))
    return answer


def state_of(story: Story) -> dict[str, Any]:
    """Return the state with the number of its cycle or temper."""
    counted = story.state in OVEN_STATES + ["temper_cooling"]
    return {
        "id": story.state,
        "cycle": story.cycle if story.state in CYCLE_STATES and story.cycle > 0 else None,
        "temper": story.temper if counted else None,
        "since_ms": story.since_ms,
        "text": note("fold.state." + story.state),
    }


def undo_of(ordered: Ordered, now_ms: int) -> dict[str, Any] | None:
    """Return the newest entry while it is young enough to be taken back, and which device wrote it."""
    if not ordered.log:
        return None
    gone = dict.fromkeys(ordered.withdrawn, True)
    for index in range(len(ordered.log) - 1, -1, -1):
        entry = ordered.log[index]
        if _undoable(entry) and entry["id"] not in gone:
            until_ms = int(entry["written_ms"] + timer("undo_s") * SECOND_MS)
            if now_ms >= until_ms:
                return None
            return {"entry_id": entry["id"], "until_ms": until_ms, "device_id": entry["device_id"]}
    return None


def disputed(story: Story) -> list[str]:
    """Return the entries of which somebody may say that this one counts."""
    found = [] if story.open_question is None else list(story.open_question)
    for conflict in story.conflicts:
        found += conflict["entry_ids"]
    return found


def _undoable(entry: dict[str, Any]) -> bool:
    """Tell whether an entry is one of those that a press takes back: a blade's first card is not."""
    return entry["kind"] in UNDOABLE or (entry["kind"] == "card_made" and "replaces" in entry["body"])


def danger_of(view: View) -> int:
    """Return how pressing this blade is, 0 the most: people, brittle, hot, then waiting."""
    story = view.story
    if story.people:
        return 0
    danger = int(data_files.load("states")["by_id"][story.state]["danger"])
    if story.state in data_files.load("states")["ended"] and story.scrap_brittle:
        return danger - 30
    if story.state in UNTEMPERED_STATES and story.quench is not None:
        return danger - len([1 for due in brittle_stages_ms(story, story.quench) if due <= view.now_ms])
    if story.state in OVEN_STATES:
        one = asked(view)
        late = one is not None and one["overdue_ms"] is not None and one["overdue_ms"] <= view.now_ms
        return danger - OVERDUE_LIFT if late else danger
    return danger


def facts_of(view: View) -> dict[str, Any]:
    """Return the few facts of the card and the last readings that lists and papers show."""
    limits = view.story.limits
    found: dict[str, Any] = {}
    for name in ("steel", "thickness_mm", "length_mm", "target_hrc", "heat_source", "oven_kind"):
        value = limits.fact(name)
        if value is not None:
            found[name] = value
    found["media"] = view.story.media()
    found.update(said(view, ["value_c", "of_c", "bath_c"]))
    found["temper"] = temper_of(view.story)
    found["hand_warm"] = view.story.quench is not None and view.story.quench.hand_warm_ms is not None
    return found
