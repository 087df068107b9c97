"""Release: nothing leaves the shop on a promise that was not looked at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from temperward.engine.process.frozen_limits import usual
from temperward.engine.process.gate_ready_for_heat import wanted_length
from temperward.engine.process.gates import ask, item, of
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

if TYPE_CHECKING:
    from temperward.engine.process.gates import Item

GATE = "release"


def items(story: Story, _at_ms: int) -> list[Item]:
    """Return the items as they stand."""
    found = [hardness(story), crack(story), bow(story), tang(story)]
    if "customer_asked" in story.choices:
        asked_ms = story.choices["customer_asked"]["at_ms"]
        accepted = story.choices.get("customer_accepts")
        passed = True if accepted is not None and accepted["at_ms"] >= asked_ms else None
        found.append(item("customer", passed=passed, hard=True))
    return found


def hardness(story: Story) -> Item:
    """Hardness as it was promised: readings where a number was, a file where none was."""
    readings = story.fact("hardness", "readings_hrc")
    promised = story.limits.fact("target_hrc") is not None
    if readings is not None:
        enough = len(readings) >= usual("release_readings")
        value = note("fold.value.hrc", {"value_hrc": sum(readings) / len(readings), "n": len(readings)})
        return item(
            "hardness", passed=True if enough else None, hard=True, value=value, check=ask("hardness")
        )
    answer = story.fact("file", "answer")
    shown = None if answer is None else note("fold.value.file_" + answer)
    passed = True if answer is not None and not promised else None
    return item(
        "hardness", passed=passed, hard=True, value=shown, check=ask("hardness" if promised else "file")
    )


def crack(story: Story) -> Item:
    """Looked for cracks, and how."""
    answer = story.fact("crack", "answer")
    method = story.fact("crack", "method")
    passed = None if answer is None or method is None else answer == "none"
    value = None if answer is None else note("fold.value.crack_" + answer)
    return item("crack", passed=passed, hard=True, value=value, check=ask("crack"))


def bow(story: Story) -> Item:
    """Inside the band of a finished blade."""
    check = ask("straightness", body=wanted_length(story))
    last = story.bows[-1] if story.bows else None
    if last is None or last["place"] not in ("temper", "finish"):
        return item("finished_bow", passed=None, hard=True, check=check)
    limit_pct = story.limits.number("finished_bow_limit_pct", usual("finished_bow_limit_pct"))
    most_mm = limit_pct / 100.0 * last["length_mm"]
    value = of(last["counts_mm"], most_mm, "mm")
    return item("finished_bow", passed=last["counts_mm"] <= most_mm, hard=True, value=value, check=check)


def tang(story: Story) -> Item:
    """The tang soft at the shoulder: by the file, or because it was softened."""
    answer = story.fact("file_tang", "answer")
    passed = True if story.tang_softened else None
    if not story.tang_softened and answer is not None:
        passed = answer == "bites"
    return item("tang", passed=passed, hard=True, check=ask("file", body={"place": "tang"}))
