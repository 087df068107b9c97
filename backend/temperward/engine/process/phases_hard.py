"""The moments of a hard blade: whatever is offered, the way into the oven is always there."""

from __future__ import annotations

from temperward.engine.process.baths import newest
from temperward.engine.process.clocks import brittle_stages_ms
from temperward.engine.process.frozen_limits import timer, usual
from temperward.engine.process.gate_ready_to_harden import oven_fits
from temperward.engine.process.story import Quench, Story
from temperward.engine.process.view import View
from temperward.engine.process.window import shut_ms

SECOND_MS = 1000
OFFERED = ["file", "sight", "crack"]


def hand_warm_due_ms(story: Story, quench: Quench) -> int:
    """Return when the blade can be held by time alone."""
    cool_s = story.limits.number("hand_warm_s", timer("hand_warm_s"))
    return int(quench.at_ms + cool_s * SECOND_MS)


def checks_from_ms(story: Story, quench: Quench) -> int:
    """Return when the checks after the quench begin: hand-warm, never in the quiet before."""
    quiet_ms = int(quench.at_ms + timer("quiet_after_quench_s") * SECOND_MS)
    warm_ms = hand_warm_due_ms(story, quench) if quench.hand_warm_ms is None else quench.hand_warm_ms
    return max(quiet_ms, warm_ms)


def offered_until_ms(story: Story, quench: Quench) -> int:
    """Return when only the way to the temper is shown."""
    return int(checks_from_ms(story, quench) + timer("check_after_hand_warm_s") * SECOND_MS)


def hurry_ms(story: Story, quench: Quench) -> int:
    """Return when the clock says hurry: from then on nothing is waited for."""
    return int(brittle_stages_ms(story, quench)[1])


def still_offered(story: Story, at_ms: int) -> list[str]:
    """Return the checks after the quench that were not made, while they are offered beside the oven."""
    quench = story.quench
    if quench is None or at_ms < checks_from_ms(story, quench) or at_ms >= offered_until_ms(story, quench):
        return []
    return [name for name in OFFERED if name not in quench.checked]


def boiling_until_ms(quench: Quench) -> int | None:
    """Return until when boiling water holds the alarm."""
    return None if quench.boiling_ms is None else int(quench.boiling_ms + usual("boiling_s") * SECOND_MS)


def oven_ready(story: Story, at_ms: int) -> bool:
    """Tell whether the oven was read near its set point lately."""
    reading = newest(story, check="oven_temperature", kind="oven")
    set_c = story.limits.temper_c(1)
    if reading is None or set_c is None:
        return False
    fresh = at_ms < oven_until_ms(story, reading["at_ms"])
    return fresh and oven_fits(story, reading["body"], set_c=set_c)


def oven_until_ms(story: Story, read_ms: int) -> int:
    """Return until when a reading of the oven is fresh."""
    return int(read_ms + story.limits.number("oven_reading_s", usual("oven_reading_s")) * SECOND_MS)


def stiff_until_ms(story: Story, quench: Quench) -> int | None:
    """Return until when a window that time shut is told of; who marked it stiff knows."""
    shut = None if quench.stiff_ms is not None else shut_ms(story)
    return None if shut is None else int(shut + timer("stiff_s") * SECOND_MS)


def hard(view: View) -> str:
    """Return the moment of a hard blade."""
    story = view.story
    quench = story.quench
    if quench is None:
        return "brittle.oven"
    special = _special(view, quench)
    if special is not None:
        return special
    if view.now_ms < min(checks_from_ms(story, quench), hurry_ms(story, quench)):
        stiff_ms = stiff_until_ms(story, quench)
        return "window.stiff" if stiff_ms is not None and view.now_ms < stiff_ms else "brittle.cooling"
    return "brittle.oven_ready" if oven_ready(story, view.now_ms) else "brittle.oven"


def _special(view: View, quench: Quench) -> str | None:
    """Return the moments that go before the usual ones."""
    story = view.story
    until_ms = boiling_until_ms(quench)
    soft = quench.checked.get("file") == "bites" and quench.checked.get("file_edge") != "skates"
    moments = [
        ("brittle.open", story.open_question is not None),
        ("brittle.no_reading", story.stay() is not None),
        ("brittle.boiling", until_ms is not None and view.now_ms < until_ms),
        ("brittle.air", quench.by_air),
        ("brittle.unknown", quench.unknown),
        ("brittle.cracked", quench.checked.get("crack") == "seen"),
        ("brittle.soft", soft),
    ]
    for moment, is_so in moments:
        if is_so:
            return moment
    return None
