"""What time alone does to a blade: the window shuts, a stay in an oven nobody read counts for nothing."""

from __future__ import annotations

from temperward.engine.process import oven, window
from temperward.engine.process.frozen_limits import timer, usual
from temperward.engine.process.oven_effects import put_back
from temperward.engine.process.story import OVEN_STATES, Story

SECOND_MS = 1000
MOVES_BY_TIME = ["in_quench", "warm_window", "temper_in_heat", "straightening_in_temper"]
MOST_MOVES = 5  # definition: bath, window, oven: more cannot follow one another by time alone


def next_move_ms(story: Story) -> int | None:
    """Return when time alone moves the blade on, if nothing is entered before."""
    if story.state == "in_quench" and story.quench is not None:
        return window.lift_ms(story)
    if story.state == "warm_window":
        return window.shut_ms(story)
    return no_reading_ms(story)


def no_reading_ms(story: Story) -> int | None:
    """Return when a hard blade in an oven that nobody has read counts as hard again."""
    stay = story.stay()
    if stay is None or story.state not in OVEN_STATES or stay.from_state not in ("hard", "snap_tempered"):
        return None
    if stay.hot or story.quench is None or oven.first_hot_ms(story, stay) is not None:
        return None
    return int(stay.in_ms + usual("temper_reading_s") * SECOND_MS)


def flare_ms(story: Story) -> int | None:
    """Return when an open flare-up becomes a tank fire."""
    if story.flare is None:
        return None
    return int(story.flare["since_ms"] + timer("flare_escalates_s") * SECOND_MS)


def advance(story: Story, to_ms: int) -> bool:
    """Let time pass up to an instant; tell whether it changed anything."""
    changed = False
    flare = flare_ms(story)
    if flare is not None and flare <= to_ms and story.flare is not None:
        story.people.append(
            {"kind": "fire", "since_ms": story.flare["since_ms"], "entry_id": story.flare["entry_id"]}
        )
        story.flare = None
        changed = True
    for _ in range(MOST_MOVES):
        due_ms = next_move_ms(story)
        if due_ms is None or due_ms > to_ms:
            break
        _move(story, due_ms)
        changed = True
    return changed


def _move(story: Story, due_ms: int) -> None:
    quench = story.quench
    stay = story.stay()
    if story.state in OVEN_STATES and stay is not None:
        story.flag("no_oven_reading", {"entry_id": stay.entry_id})
        put_back(story, stay)
    elif story.state == "in_quench" and window.window_of(story) is not None and quench is not None:
        story.move("warm_window", at_ms=due_ms, entry_id=quench.entry_id)
    elif quench is not None:
        story.move("hard", at_ms=quench.at_ms, entry_id=quench.entry_id)
    else:
        story.move("hard", at_ms=due_ms, entry_id=story.state_id)
