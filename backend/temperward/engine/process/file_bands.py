"""What a file says of hardness: a band, never a figure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine.facts import is_number
from temperward.engine.quantities import note

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

# A test file cuts steel that is one to two points softer than itself, and slides on what is harder
# (saeJ864, as the checks of a blade are written in the design).
LEAST_UNDER_HRC, MOST_UNDER_HRC = 1, 2


def file_bands(events: list[Entry]) -> list[dict[str, Any]]:
    """Return of each file that was named what it says of the place that it was drawn over."""
    found = []
    for entry in events:
        body = entry["body"]
        if entry["kind"] == "check" and body["check"] == "file" and is_number(body.get("file_hrc")):
            found.append({"entry_id": entry["id"], "text": band_of(int(body["file_hrc"]), body["answer"])})
    return found


def band_of(file_hrc: int, answer: str) -> dict[str, Any]:
    """Return the band that a file leaves open, in whole points: it skates on harder steel, bites softer."""
    return note(
        "history.file." + answer,
        {"low_hrc": file_hrc - MOST_UNDER_HRC, "high_hrc": file_hrc - LEAST_UNDER_HRC, "at_hrc": file_hrc},
    )
