"""The seconds in which a blade just out of the bath can still be straightened."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.story import Story

SECOND_MS = 1000


def lift_ms(story: Story) -> int | None:
    """Return when the blade left the bath: as marked, else when its planned hold had passed."""
    quench = story.quench
    if quench is None or quench.by_air:
        return None
    if quench.lift_ms is not None:
        return quench.lift_ms
    return int(quench.at_ms + story.limits.hold_s() * SECOND_MS)


def too_late(story: Story) -> bool:
    """Tell whether the blade stayed in the bath so long that it must be taken as stiff."""
    quench = story.quench
    latest_s = story.limits.latest_lift_s()
    if quench is None or quench.lift_ms is None or latest_s is None:
        return False
    return quench.lift_ms - quench.at_ms > latest_s * SECOND_MS


def window_of(story: Story) -> dict[str, Any] | None:
    """Return the window of the last quench as instants, or nothing where there is none."""
    row = story.limits.window()
    open_ms = lift_ms(story)
    if row is None or open_ms is None or too_late(story):
        return None
    gentle_s = max(row["gentle_s"], row["bend_s"])
    stiffening_s = min(row["stiffening_s"], row["bend_s"])

    def after(seconds: float) -> int:
        return int(open_ms + seconds * SECOND_MS)

    return {
        "open_ms": open_ms,
        "stiffening_ms": after(stiffening_s),
        "bend_until_ms": after(row["bend_s"]),
        "gentle_until_ms": after(gentle_s),
        "early_ms": after(row.get("early_s", stiffening_s)),
        "late_ms": after(row.get("late_s", gentle_s)),
    }


def shut_ms(story: Story) -> int | None:
    """Return when the window shuts by time; nothing where there is no window."""
    found = window_of(story)
    return None if found is None else int(found["gentle_until_ms"])
