"""What a reading does to a blade's story."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from temperward.engine.process import bows
from temperward.engine.process.frozen_limits import usual
from temperward.engine.process.mark_effects import air_hardened
from temperward.engine.process.oven_effects import back_in
from temperward.engine.process.story import Story
from temperward.engine.shape.twist import twist_deg

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

# Readings of one thing that does not change by itself: two phones that differ stay side by side.
ONE_TRUTH = [
    "bow",
    "crack",
    "edge_off_centre",
    "edge_thickness",
    "file",
    "left_right",
    "sight",
    "straightness",
]
SIDE_BY_SIDE_MM = (
    0.15  # feelers of two people differ by less than three times their scatter (source: practice)
)
NO_EFFECT_FIELDS = ["check", "instrument", "uncertainty_mm", "method"]


def check(story: Story, entry: Entry) -> None:
    """Keep the reading, note where two phones differ, and let it act."""
    name = entry["body"]["check"]
    kept_as = _key(entry)
    if name in ONE_TRUTH:
        last = story.latest.get(kept_as)
        if last is not None and story.latest_slot.get(kept_as) == story.slot:
            if last["id"] in story.chosen:
                return  # somebody has chosen the other reading of the same thing
            _side_by_side(story, last, entry)
    story.latest[kept_as] = entry
    story.latest_slot[kept_as] = story.slot
    if name in CHECK_EFFECTS:
        CHECK_EFFECTS[name](story, entry)


def _key(entry: Entry) -> str:
    """Return what a reading is kept as: the tang is soft by intent and says nothing of the blade."""
    body = entry["body"]
    name: str = body["check"]
    return name + "_tang" if name in ("file", "hardness") and body.get("place") == "tang" else name


def _side_by_side(story: Story, last: Entry, entry: Entry) -> None:
    if last["device_id"] == entry["device_id"] or entry["id"] in story.chosen or _agree(last, entry):
        return
    story.disputed[entry["id"]] = True
    for conflict in story.conflicts if last["id"] in story.disputed else []:
        if last["id"] in conflict["entry_ids"]:
            conflict["entry_ids"].append(entry["id"])
            return
    story.disputed[last["id"]] = True
    story.conflicts.append({"check": entry["body"]["check"], "entry_ids": [last["id"], entry["id"]]})


def _agree(first: Entry, second: Entry) -> bool:
    """Tell whether two readings of one thing say the same."""
    if first["body"]["check"] in ("straightness", "bow"):
        apart_mm = bows.bow_mm_of(first["body"]) - bows.bow_mm_of(second["body"])
        return abs(apart_mm) <= SIDE_BY_SIDE_MM
    if first["body"].get("place") != second["body"].get("place"):
        return True
    return _plain(first) == _plain(second)


def _plain(entry: Entry) -> list[list[object]]:
    body = entry["body"]
    return [[name, body[name]] for name in sorted(body) if name not in NO_EFFECT_FIELDS]


def magnet(story: Story, entry: Entry) -> None:
    """Count the tries; only a magnet that lets go on a rising heat says that the heat is near."""
    heat = story.heat
    if story.state != "hardening_heat" or heat is None:
        return
    heat.magnet_tries += 1
    if heat.first_try_ms is None:
        heat.first_try_ms = entry["happened_ms"]
    body = entry["body"]
    let_go = body["answer"] == "none" and body.get("rising") is not False
    if let_go and heat.magnet_ms is None:
        heat.magnet_ms = entry["happened_ms"]
    if not let_go and body["answer"] != "none":
        heat.magnet_ms = None


def colour(story: Story, entry: Entry) -> None:
    """An even colour begins the soak; an uneven one ends it."""
    heat = story.heat
    if heat is None or story.state not in ("hardening_heat", "cycle_in_heat"):
        return
    if not entry["body"]["even"]:
        heat.even_ms = None
    elif heat.even_ms is None and entry["body"].get("bright") is not True:
        heat.even_ms = entry["happened_ms"]
        heat.even_id = entry["id"]


def oven_temperature(story: Story, entry: Entry) -> None:
    """A reading during a stay says what the stay is worth."""
    stay = story.stay()
    if stay is None:
        return
    peak_c = entry["body"].get("swing_peak_c")
    if peak_c is not None:
        stay.peak_c = peak_c if stay.peak_c is None else max(stay.peak_c, peak_c)
    stay.readings.append([entry["happened_ms"], entry["body"]["temperature_c"]])
    if entry["body"]["temperature_c"] >= usual("snap_c"):
        back_in(story, stay)


def _must_not_cut_hrc(story: Story) -> float:
    return story.limits.number("file_must_not_cut_hrc", 0.0)


def _cuts_hard_steel(story: Story, body: dict[str, Any]) -> bool:
    """Tell whether a file harder than the card's cut: it may cut a hard blade too, so it says nothing."""
    if body["answer"] == "skates" or body.get("file_hrc") is None:
        return False
    return story.limits.has("file_must_not_cut_hrc") and body["file_hrc"] > _must_not_cut_hrc(story)


def file_check(story: Story, entry: Entry) -> None:
    """A file that skates on a blade thought soft says that it hardened in air."""
    body = entry["body"]
    if body.get("place") == "tang":
        return
    story.filed_after = story.heats_done
    if story.quench is not None and story.state in ("hard", "snap_tempered"):
        if _cuts_hard_steel(story, body):
            story.flag("file_too_hard", {"file_hrc": body["file_hrc"], "high_hrc": _must_not_cut_hrc(story)})
            return
        if story.quench.checked.get("file") != "skates" or body.get("place") == "edge":
            story.quench.checked["file"] = body["answer"]
        story.quench.checked["file_" + str(body.get("place"))] = body["answer"]
    if story.state in ("cycle_checked", "cycle_cooling") and body["answer"] == "skates":
        story.move("hard", at_ms=entry["happened_ms"], entry_id=entry["id"])
        air_hardened(story, entry)


def looked_at(story: Story, entry: Entry) -> None:
    """Remember that a check after the quench was made."""
    if story.quench is not None and story.state in ("hard", "snap_tempered", "warm_window"):
        story.quench.checked[entry["body"]["check"]] = entry["body"]["answer"]


def bath_temperature(story: Story, entry: Entry) -> None:
    """Keep the reading by the bath it is of; one that names none is of the first."""
    medium = str(entry["body"].get("medium", ""))
    story.latest["bath_temperature." + medium] = entry
    reads = story.bath_reads.setdefault(medium, [])
    reads.append([entry["happened_ms"], entry["body"]["temperature_c"]])


def twist(story: Story, entry: Entry) -> None:
    """Keep the twist with its verdict, while the blade is soft."""
    if story.state not in bows.SOFT:
        return
    found_deg = twist_deg(entry["body"]["gap_mm"], width_mm=entry["body"]["width_mm"])
    limit_deg = story.limits.number("twist_limit_deg", usual("twist_limit_deg"))
    story.twist = {
        "entry_id": entry["id"],
        "read_ms": entry["happened_ms"],
        "twist_deg": found_deg,
        "limit_deg": limit_deg,
        "within": found_deg <= limit_deg,
        "series": story.series,
        "heats": story.heats_done,
    }


CHECK_EFFECTS: dict[str, Callable[[Story, Entry], None]] = {
    "magnet": magnet,
    "colour": colour,
    "oven_temperature": oven_temperature,
    "file": file_check,
    "sight": looked_at,
    "crack": looked_at,
    "straightness": bows.add,
    "bow": bows.add,
    "bath_temperature": bath_temperature,
    "twist": twist,
}
