"""What the marks at the oven do: into it, at heat, out of it, jigged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from temperward.engine.process import oven
from temperward.engine.process.frozen_limits import timer, usual
from temperward.engine.process.story import OVEN_STATES, UNTEMPERED_STATES, OvenStay, Quench, Story

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

SECOND_MS = 1000
HARD_BY_NOW = UNTEMPERED_STATES + ["hardening_heat"]


def in_oven(story: Story, entry: Entry, was: str) -> None:
    """Begin a stay: it pauses the brittle clock, it does not end it."""
    purpose = "snap" if entry["body"].get("purpose") == "snap" else "temper"
    running = story.stay()
    if was in OVEN_STATES and running is not None:
        _still_in(story, entry, was, running)
        return
    if running is not None:
        running.out_ms = entry["happened_ms"]
    story.open_question = None
    if was == "hardening_heat":
        _quench_not_marked(story, entry)
    stay = OvenStay(entry, purpose=purpose, number=story.tempers_done + 1)
    stay.from_state = "hard" if was in HARD_BY_NOW else was
    stay.warm = was in HARD_BY_NOW and went_in_warm(story, entry)
    if was == "straightening_in_temper":
        stay.from_state = "temper_cooling"
        story.move(was, at_ms=entry["happened_ms"], entry_id=entry["id"])
    if stay.warm and purpose == "temper":
        story.flag("warm_lift", {"entry_id": entry["id"]})
    story.stays.append(stay)
    story.temper = stay.number
    story.cold = False


def _still_in(story: Story, entry: Entry, was: str, running: OvenStay) -> None:
    """It is in already, a second phone says so too: the stay goes on, from when and whence it began."""
    if entry["body"].get("purpose") in ("snap", "temper"):
        running.purpose = entry["body"]["purpose"]
    story.move(was, at_ms=running.in_ms, entry_id=running.entry_id)


def _quench_not_marked(story: Story, entry: Entry) -> None:
    """Straight from the hardening heat into an oven: it was quenched, when is not known better than this."""
    heat = story.heat
    at_ms = entry["happened_ms"] if heat is None or heat.going_ms is None else heat.going_ms
    quench = Quench(entry, at_ms=at_ms)
    quench.unknown = True
    story.harden_anew(quench)


def went_in_warm(story: Story, entry: Entry) -> bool:
    """Tell whether the blade went in before it was hand-warm: that cycle tempers only part of it."""
    quench = story.quench
    if quench is None or quench.by_air or quench.unknown:
        return False
    if quench.hand_warm_ms is not None:
        return bool(quench.hand_warm_ms > entry["happened_ms"])
    from_ms = quench.at_ms
    read_ms = story.read_ms("blade_temperature")
    if read_ms is not None and read_ms >= quench.at_ms:
        if story.fact("blade_temperature", "temperature_c") <= usual("warm_lift_c"):
            return False
        from_ms = read_ms  # still warm then, whatever the clock said
    cool_s = story.limits.number("hand_warm_s", timer("hand_warm_s"))
    return bool(entry["happened_ms"] - from_ms < cool_s * SECOND_MS)


def at_heat(story: Story, entry: Entry, _was: str) -> None:
    """Begin the hold."""
    stay = story.stay()
    if stay is None:
        return
    stay.at_heat_ms = entry["happened_ms"]
    back_in(story, stay)


def jigged(story: Story, _entry: Entry, was: str) -> None:
    """Clamp it over the bend: in the oven the stay goes on, a cold blade still has to go in."""
    if was in OVEN_STATES and story.stay() is not None:
        return
    story.temper = story.tempers_done + 1
    story.cold = False


def back_in(story: Story, stay: OvenStay) -> None:
    """Note a reading hot enough; where it came late, the blade was in the heat after all."""
    stay.hot = True
    if story.state in ("hard", "snap_tempered") and stay.out_ms is None:
        story.move("temper_in_heat", at_ms=stay.in_ms, entry_id=stay.entry_id)


def out_of_oven(story: Story, entry: Entry, _was: str) -> None:
    """End the stay and say what it was worth."""
    stay = story.stay()
    if stay is None:
        story.flag("order", {"entry_id": entry["id"], "mark": "out_of_oven", "state": story.state})
        return
    at_ms = entry["happened_ms"]
    hot_ms = oven.hot_enough_ms(story, stay)
    stay.out_ms = at_ms
    if story.state == "hard":
        return
    hot_enough = hot_ms is not None and hot_ms <= at_ms
    if stay.from_state in ("hard", "snap_tempered") and not hot_enough:
        story.flag("not_hot_enough", {"entry_id": entry["id"]})
        put_back(story, stay)
        return
    if stay.purpose == "snap":
        _snap_done(story, entry, stay)
        return
    _temper_done(story, entry, stay)


def put_back(story: Story, stay: OvenStay) -> None:
    """It is as hard as it was, and for as long as it was."""
    if stay.from_state == "snap_tempered" and story.snap_ms is not None:
        story.move("snap_tempered", at_ms=story.snap_ms, entry_id=story.snap_id)
    elif story.quench is not None:
        story.move("hard", at_ms=story.quench.at_ms, entry_id=story.quench.entry_id)


def _snap_done(story: Story, entry: Entry, stay: OvenStay) -> None:
    if stay.from_state not in ("hard", "snap_tempered"):
        story.move("temper_cooling", at_ms=entry["happened_ms"], entry_id=entry["id"])
        return
    if story.snap_ms is None or stay.from_state == "hard":  # a second snap temper gives no new day
        story.snap_ms = entry["happened_ms"]
        story.snap_id = entry["id"]
    story.move("snap_tempered", at_ms=entry["happened_ms"], entry_id=entry["id"])


def _temper_done(story: Story, entry: Entry, stay: OvenStay) -> None:
    story.tempered_once = True
    counted_s = oven.counted_s(story, stay.number, until_ms=entry["happened_ms"])
    if counted_s + timer("temper_grace_s") >= story.limits.temper_hold_s(stay.number):
        story.tempers_done += 1
        if not any(one.warm for one in story.stays if one.number == stay.number and one.purpose == "temper"):
            story.tempers_counted += 1
    story.move("temper_cooling", at_ms=entry["happened_ms"], entry_id=entry["id"])


OVEN_EFFECTS = {"in_oven": in_oven, "at_heat": at_heat, "jigged": jigged, "out_of_oven": out_of_oven}
