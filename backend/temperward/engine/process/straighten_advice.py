"""How far to bend a blade that is bowed: past straight while it is soft, over a shim once it is tempered."""

from __future__ import annotations

from typing import Any

from temperward.engine.errors import MissingField, OutOfRange
from temperward.engine.process.bows import FINISHED, SOFT
from temperward.engine.process.frozen_limits import plausible
from temperward.engine.process.gate_temper_done import measured
from temperward.engine.process.picture_tables import column, row
from temperward.engine.process.story import Story
from temperward.engine.quantities import note
from temperward.engine.shape.springback import springback

SAID = ["refusal.jig_strain", "refusal.span_too_long"]
# A hard blade is not among them: it breaks; nor one in the oven.
JIGGED = ["temper_cooling", "straightening_in_temper"] + FINISHED


def way_of(story: Story) -> str | None:
    """Return how a blade in this state is straightened: cold by hand, in the jig, or not at all."""
    if not story.bows or story.bows[-1]["verdict"] == "within":
        return None
    if story.state in SOFT:
        return "overbend"
    return "shim" if story.state in JIGGED and measured(story) else None


def advice(story: Story) -> dict[str, Any] | None:
    """Return the springback's answer for the last bow: {way, span_mm, found, refused}, or nothing.

    Over the length that was measured, with the thickness of the card and the temper it has had.
    """
    way = way_of(story)
    thickness_mm = story.limits.fact("thickness_mm")
    if way is None or not plausible(thickness_mm):
        return None
    last = story.bows[-1]
    facts = {
        "bow_mm": last["counts_mm"],
        "span_mm": last["length_mm"],
        "thickness_mm": thickness_mm,
        "state": "soft" if way == "overbend" else "tempered",
    }
    if way == "shim":
        facts["tempered_c"] = _jig_c(story)
    answer: dict[str, Any] = {"way": way, "span_mm": last["length_mm"], "found": None, "refused": None}
    try:
        answer["found"] = springback(facts)[way]
    except (OutOfRange, MissingField) as refusal:
        if refusal.reason not in SAID:  # longer than a bench, thicker than a knife, tempered too cold to bend
            return None
        answer["refused"] = refusal.reason
    return answer


def _jig_c(story: Story) -> float | None:
    """Return the hottest it has been tempered at, or will be in the jig."""
    heats = [
        story.limits.temper_c(number) for number in (1, story.tempers_done, story.tempers_done + 1) if number
    ]
    known = [heat_c for heat_c in heats if heat_c is not None]
    return max(known) if known else None


def shim_line(story: Story) -> dict[str, Any] | None:
    """Return the shim for the jig, as the line beside the number; nothing where none is to be laid."""
    told = advice(story)
    if told is None or told["way"] != "shim" or told["found"] is None:
        return None
    found = told["found"]
    return note(
        "fold.set.shim", {"value_mm": found["value"], "low_mm": found["low"], "high_mm": found["high"]}
    )


def straighten_tables(story: Story) -> list[dict[str, Any]]:
    """Return how far to bend it, as a table; why not, where the engine refuses."""
    told = advice(story)
    if told is None:
        return []
    found = told["found"]
    if found is None:
        cells = [told["span_mm"], note(told["refused"])]
        notes: list[dict[str, Any]] = []
        sources = ["beamBending"]
    else:
        cells = [told["span_mm"], found["value"], found["low"], found["high"]]
        notes, sources = found["notes"], found["sources"]
    names = ["over", told["way"], "low", "high"]
    return [
        {
            "id": "straighten",
            "title": note("history.straighten." + told["way"]),
            "columns": [column(name, "mm") for name in names[: len(cells)]],
            "rows": [row(cells, over=False)],
            "notes": notes,
            "sources": sources,
        }
    ]
