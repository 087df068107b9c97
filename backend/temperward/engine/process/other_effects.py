"""What a finding, an override or a choice does to a blade's story."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine import data_files
from temperward.engine.process.mark_effects import all_clear
from temperward.engine.process.oven import hot_enough_ms
from temperward.engine.process.oven_effects import put_back
from temperward.engine.process.story import OVEN_STATES, Story

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

NO_WAY_AROUND = ["flash_margin", "lid", "covers_blade"]


def finding(story: Story, entry: Entry) -> None:
    """Keep what the smith says went wrong; people come before everything else."""
    name = entry["body"]["finding"]
    card: dict[str, Any] = data_files.load("findings")["by_id"][name]
    row = {"id": name, "entry_id": entry["id"], "open": True, "facts": _facts(entry), "slot": story.slot}
    row["at_ms"] = entry["happened_ms"]
    story.findings.append(row)
    kind = card.get("people")
    if kind is not None:
        story.people.append({"kind": kind, "since_ms": entry["happened_ms"], "entry_id": entry["id"]})
    elif name == "flare_up":
        _flare(story, entry)
    elif name in ("power_cut_in_temper", "power_cut_hard"):
        _power_cut(story, entry)


def _facts(entry: Entry) -> dict[str, Any]:
    body = entry["body"]
    return {name: body[name] for name in ("cause", "text") if name in body}


def _flare(story: Story, entry: Entry) -> None:
    """A second flare on top of one that is still open is a tank fire; one alone becomes it by time."""
    if story.flare is not None:
        story.people.append(
            {"kind": "fire", "since_ms": story.flare["since_ms"], "entry_id": story.flare["entry_id"]}
        )
        story.flare = None
    elif entry["at_source"] == "live":
        story.flare = {"since_ms": entry["happened_ms"], "entry_id": entry["id"]}


def _power_cut(story: Story, entry: Entry) -> None:
    """The oven cools from here on; a blade that has not had its least time at heat is as hard as before."""
    stay = story.stay()
    if stay is None or story.state not in OVEN_STATES:
        return
    hot_ms = hot_enough_ms(story, stay)
    stay.cuts_ms.append(entry["happened_ms"])
    if stay.from_state in ("hard", "snap_tempered") and (hot_ms is None or hot_ms > entry["happened_ms"]):
        put_back(story, stay)


def finding_closed(story: Story, entry: Entry) -> None:
    """Close one finding; closing what concerned people is the all-clear for it."""
    target = entry["body"]["entry_id"]
    for row in story.findings:
        if row["entry_id"] == target:
            row["open"] = False
    story.closed[target] = True
    if _bow_that_grew(story, target):
        _decide(story, "cause_tried", entry, text=entry["body"].get("text"))
    left = [one for one in story.people if one["entry_id"] != target]
    if story.people and not left:
        all_clear(story, entry)
    story.people = left
    if story.flare is not None and story.flare["entry_id"] == target:
        story.flare = None


def _bow_that_grew(story: Story, entry_id: str) -> bool:
    """Tell whether what is closed is the reading at which the bow had grown: its cause was dealt with."""
    for index in range(len(story.bows) - 1, -1, -1):
        if story.bows[index]["entry_id"] == entry_id:
            return bool(story.bows[index]["grew"])
    return False


def _decide(story: Story, name: str, entry: Entry, *, text: Any) -> None:
    story.choices[name] = {
        "entry_id": entry["id"],
        "at_ms": entry["happened_ms"],
        "slot": story.slot,
        "text": text,
    }


def override(story: Story, entry: Entry) -> None:
    """Let named items of a stop point be passed with a reason; for three of them there is no such thing."""
    story.override_ids.append(entry["id"])
    gate = entry["body"]["gate"]
    barred = []
    for item in entry["body"]["items"]:
        if gate == "ready_to_harden" and item in NO_WAY_AROUND:
            barred.append(item)
        else:
            story.overrides[gate + "." + item] = entry
    if barred:
        story.flag("against_fire_line", {"entry_id": entry["id"], "items": barred})


def choice(story: Story, entry: Entry) -> None:
    """Keep what was decided."""
    _decide(story, entry["body"]["choice"], entry, text=entry["body"].get("text"))
