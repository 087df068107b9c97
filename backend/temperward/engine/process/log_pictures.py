"""What the log of one blade looks like: its tempers against the plan, its bows, its fractures."""

from __future__ import annotations

from typing import Any

from temperward.engine.errors import UnknownName
from temperward.engine.process.bow_table import bow_tables
from temperward.engine.process.file_bands import file_bands
from temperward.engine.process.fold import HeldLog
from temperward.engine.process.fractures import fractures
from temperward.engine.process.straighten_advice import straighten_tables
from temperward.engine.process.temper_picture import temper_pictures
from temperward.engine.process.torch_table import torch_tables
from temperward.engine.process.warp_picture import warp_pictures


def log_pictures(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `log_pictures`: takes what `fold` takes of a blade, answers pictures with their tables.

    Each line lies in a unit square, x to the right and y up. A temper's plan is its set point and hold from
    the card; what happened is read from the marks and readings by the rules of the fold, so that what the
    picture counts is what the blade was let go by.
    """
    held = HeldLog(facts.get("entries") if isinstance(facts, dict) else None)
    story = held.read(facts)
    if story is None:
        raise UnknownName(
            field="log_kind", value=facts["log_kind"], reason="refusal.unknown_name", choices=["piece"]
        )
    events = held.ordered.events
    return {
        "log_id": facts["log_id"],
        "tempers": {
            "pictures": temper_pictures(story, now_ms=int(facts["now_ms"])),
            "tables": torch_tables(story, events),
        },
        "bows": {"pictures": warp_pictures(story), "tables": bow_tables(story) + straighten_tables(story)},
        "fractures": fractures(story, events),
        "files": file_bands(events),
    }
