"""Flags: what a look at the log should stop at. They refuse nothing."""

from __future__ import annotations

from typing import Any

from temperward.engine.process import bows
from temperward.engine.process.gate_release import dropped_unchecked
from temperward.engine.process.order import Ordered
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

WORDED = {"mark": "fold.do.", "state": "fold.state.", "check": "fold.told."}
TRIANGLE = ["clock_changed", "conflict", "warm_lift", "same_as"]


def flags_of(story: Story, ordered: Ordered) -> list[dict[str, Any]]:
    """Return the flags: those raised while reading, and those that the whole log raises."""
    found = [{"id": one["id"], "facts": one["facts"]} for one in story.flags]
    found += [{"id": "clock_changed", "facts": change} for change in ordered.clock_changes]
    row = bows.trend_row(story)
    if row is not None:
        found.append({"id": "trend", "facts": {"entry_id": row["entry_id"], "value_mm": row["counts_mm"]}})
    if story.open_question is not None:
        found.append({"id": "hard_or_not", "facts": {"entry_ids": story.open_question}})
    for conflict in story.conflicts:
        if not any(entry_id in story.chosen for entry_id in conflict["entry_ids"]):
            facts = {"check": conflict["check"], "entry_ids": conflict["entry_ids"]}
            found.append({"id": "conflict", "facts": facts})
    for log_id in story.same_as:
        found.append({"id": "same_as", "facts": {"log_id": log_id}})
    if _suspected(story):
        found.append({"id": "crack_suspected", "facts": {}})
    if dropped_unchecked(story):
        found.append({"id": "crack_check_due", "facts": {}})
    return [_shown(one) for one in found]


def _suspected(story: Story) -> bool:
    """Tell whether a crack is suspected: said so, or the last look said so, and nobody has closed it."""
    look = story.latest.get("crack")
    if look is not None and look["body"]["answer"] == "suspected" and look["id"] not in story.closed:
        return True
    return any(one["open"] and one["id"] == "crack_suspected" for one in story.findings)


def _shown(one: dict[str, Any]) -> dict[str, Any]:
    facts: dict[str, Any] = {}
    for name in sorted(one["facts"]):
        value = one["facts"][name]
        if name in WORDED:
            facts[name] = note(WORDED[name] + str(value))
        elif name not in ("entry_ids", "items", "log_id"):
            facts[name] = value
    return {
        "id": one["id"],
        "facts": one["facts"],
        "entry_ids": one["facts"].get("entry_ids", []),
        "text": note("fold.flag." + one["id"], facts),
        "shape": "triangle" if one["id"] in TRIANGLE else "octagon",
    }
