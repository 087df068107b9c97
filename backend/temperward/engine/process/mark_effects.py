"""What each mark does to a blade's story, beyond the state that it leads to."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from temperward.engine.process import window
from temperward.engine.process.frozen_limits import timer
from temperward.engine.process.story import Heat, Quench, Story

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

SECOND_MS = 1000
CRACKED = ["seen", "suspected"]


def in_fire(story: Story, entry: Entry) -> None:
    """Begin a heat: the next planned one unless the mark says which."""
    kind = entry["body"].get("kind")
    story.heat_kind = kind if kind in ("cycle", "stress_relief") else next_heat(story)
    story.cycle = story.cycles_done + 1 if story.heat_kind == "cycle" else story.cycles_done
    story.heat = Heat(entry)
    story.quench = None  # in the fire nothing is brittle any more


def next_heat(story: Story) -> str:
    """Return the kind of the next heat on the card: a stress relief stands where the card puts it."""
    if story.relieved:
        return "cycle"
    due = any(story.cycles_done >= cycles for cycles in story.limits.reliefs)
    return "stress_relief" if due else "cycle"


def heat_done(story: Story, entry: Entry) -> None:
    """End a heat: it has cooled and counts."""
    if story.heat is not None and story.heat.out_ms is None:
        story.heat.out_ms = entry["happened_ms"]
    if story.heat_kind == "stress_relief":
        story.relieved = True
    else:
        story.cycles_done += 1
        story.cycle = story.cycles_done
    story.owes_cycle = False
    story.heats_done += 1
    story.cold_ms = entry["happened_ms"]


def out_of_fire(story: Story, entry: Entry) -> None:
    """Note when the heat ended; cooling in air begins."""
    if story.heat is not None:
        story.heat.out_ms = entry["happened_ms"]


def even_heat(story: Story, entry: Entry) -> None:
    """Begin the soak."""
    if story.heat is not None and story.heat.even_ms is None:
        story.heat.even_ms = entry["happened_ms"]
        story.heat.even_id = entry["id"]


def straightened(story: Story, entry: Entry) -> None:
    """Begin a new run of bows; a large bow, one that grew, or a twist owes one full cycle first."""
    worst = story.bows[-1] if story.bows else None
    if worst is not None and (worst["verdict"] == "over" or worst["grew"]):
        story.owes_cycle = True
    twisted = story.twist
    if twisted is not None and not twisted["within"] and twisted["series"] == story.series:
        story.owes_cycle = True
    story.series += 1
    if story.before in ("shaped", "ground_ready") and story.cycles_done == 0:
        story.move(story.before, at_ms=entry["happened_ms"], entry_id=entry["id"])


def straightening(story: Story, _entry: Entry) -> None:
    """Nothing more than the state: where it came from is kept by the move."""
    story.slot += 1


def hardening_fire(story: Story, entry: Entry) -> None:
    """Begin the hardening heat; whether the way was ready is looked at now, for the record."""
    story.heat = Heat(entry)
    story.heat_kind = "hardening"
    story.quench = None


def heat_aborted(story: Story, entry: Entry) -> None:
    """Count the heat as one more cycle, from here on cooling in air."""
    story.heat_kind = "cycle"
    story.cycle = story.cycles_done + 1
    out_of_fire(story, entry)


def going_to_quench(story: Story, entry: Entry) -> None:
    """Open the quench: nothing is asked from now on."""
    if story.heat is not None:
        story.heat.going_ms = entry["happened_ms"]


def quenched(story: Story, entry: Entry) -> None:
    """Begin the untempered time; a place in the oven marked before it is of another heat."""
    stay = story.stay()
    if stay is not None:
        stay.out_ms = entry["happened_ms"]
    story.harden_anew(Quench(entry, at_ms=entry["happened_ms"]))


def air_hardened(story: Story, entry: Entry) -> None:
    """The blade hardened by itself in air: the untempered time runs from leaving the fire."""
    at_ms = entry["happened_ms"]
    if story.heat is not None and story.heat.out_ms is not None:
        at_ms = min(at_ms, story.heat.out_ms)
    quench = Quench(entry, at_ms=at_ms)
    quench.by_air = True
    quench.hand_warm_ms = entry["happened_ms"]
    story.harden_anew(quench)
    story.since_ms = at_ms


def out_of_bath(story: Story, entry: Entry) -> None:
    """Open the window from the marked lift; too late a lift, or no window on the card, is simply hard."""
    quench = story.quench
    if quench is None:
        return
    quench.lift_ms = entry["happened_ms"]
    story.slot += 1
    if quench.stiff_ms is not None:
        return
    open_until = window.shut_ms(story)
    if open_until is None or open_until <= entry["happened_ms"]:
        story.move("hard", at_ms=quench.at_ms, entry_id=quench.entry_id)
    else:
        story.move("warm_window", at_ms=entry["happened_ms"], entry_id=entry["id"])


def stiff(story: Story, entry: Entry) -> None:
    """Shut the window early; the untempered time still runs from the quench."""
    if story.quench is not None:
        story.quench.stiff_ms = entry["happened_ms"]
        story.since_ms = story.quench.at_ms


def hand_warm(story: Story, entry: Entry) -> None:
    """Open the way into the oven."""
    quench = story.quench
    if quench is None:
        return
    if quench.hand_warm_ms is None:
        quench.hand_warm_ms = entry["happened_ms"]
    if story.state != "hard":
        story.move("hard", at_ms=quench.at_ms, entry_id=quench.entry_id)


def boiling_water(story: Story, entry: Entry) -> None:
    """Hold the alarm, once."""
    if story.quench is not None and story.quench.boiling_ms is None:
        story.quench.boiling_ms = entry["happened_ms"]


def rework(story: Story, entry: Entry) -> None:
    """Begin again from soft: the cycles start over, going anyway is asked again."""
    if cracked(story):
        story.flag("cracked_rework", {"entry_id": entry["id"]})
    if story.rehardens >= timer("rehardens"):
        story.flag("too_many_rehardens", {"entry_id": entry["id"], "n": story.rehardens + 1})
    story.rehardens += 1
    story.cycles_done = 0
    story.cycle = 0
    story.relieved = False
    story.owes_cycle = False
    story.series += 1
    story.overrides = {}
    story.choices = {}
    story.latest = {}
    story.twist = None
    story.quench = None
    story.heat = None
    story.tempers_done = 0
    story.tempers_counted = 0


def cracked(story: Story) -> bool:
    """Tell whether a crack was seen or suspected, and nothing has answered it."""
    if story.fact("crack", "answer") in CRACKED:
        return True
    return any(one["open"] and one["id"] in ("crack_seen", "crack_suspected") for one in story.findings)


def taken_up(story: Story, entry: Entry) -> None:
    """Go on where it was put aside."""
    story.move(story.aside, at_ms=entry["happened_ms"], entry_id=entry["id"])


def scrapped(story: Story, entry: Entry) -> None:
    """End the blade's way; it stays brittle until it is tempered or broken up behind a guard."""
    if entry["body"].get("kept") is True:
        story.move("kept_as_sample", at_ms=entry["happened_ms"], entry_id=entry["id"])


def broken_up(story: Story, _entry: Entry) -> None:
    """The pieces are no danger any more."""
    story.scrap_brittle = False


def softened(story: Story, entry: Entry) -> None:
    """Remember that the tang or the spine was softened."""
    story.tang_softened = True
    story.since_ms = entry["happened_ms"]


def cold_after_temper(story: Story, _entry: Entry) -> None:
    """It can be held: the next temper, or the look at what it came to."""
    story.cold = True
    story.slot += 1


def all_clear(story: Story, entry: Entry) -> None:
    """End what came before everything else; a blade on its way to hard is hard, for how long is unknown."""
    if not story.people:
        return
    first = story.people[0]
    over = [one["entry_id"] for one in story.people]
    for row in story.findings:
        if row["entry_id"] in over:
            row["open"] = False
    story.people = []
    story.flare = None
    if story.state not in ("hardening_heat", "in_quench", "warm_window", "hard"):
        return
    if story.state == "hardening_heat" or story.quench is None:
        quench = Quench(entry, at_ms=first["since_ms"])
        quench.unknown = True
        story.harden_anew(quench)
    story.flag("left_hard_unknown", {"entry_id": entry["id"]})
    if story.quench is not None:
        story.move("hard", at_ms=story.quench.at_ms, entry_id=story.quench.entry_id)


EFFECTS: dict[str, Callable[[Story, Entry], Any]] = {
    "in_fire": in_fire,
    "out_of_fire": out_of_fire,
    "even_heat": even_heat,
    "cold": heat_done,
    "straightening": straightening,
    "straightened": straightened,
    "hardening_fire": hardening_fire,
    "heat_aborted": heat_aborted,
    "going_to_quench": going_to_quench,
    "quenched": quenched,
    "air_hardened": air_hardened,
    "out_of_bath": out_of_bath,
    "stiff": stiff,
    "hand_warm": hand_warm,
    "boiling_water": boiling_water,
    "rework": rework,
    "taken_up": taken_up,
    "scrapped": scrapped,
    "broken_up": broken_up,
    "softened": softened,
    "cold_after_temper": cold_after_temper,
    "all_clear": all_clear,
}
