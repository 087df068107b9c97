"""Release: nothing leaves the shop on a promise that was not looked at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from temperward.engine.facts import is_number
from temperward.engine.process.frozen_limits import timer, usual
from temperward.engine.process.gate_ready_for_heat import wanted_length
from temperward.engine.process.gates import ask, item, of
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

if TYPE_CHECKING:
    from temperward.engine.process.gates import Item

GATE = "release"
FINDS_FINE_CRACKS = ["penetrant", "etch"]


def items(story: Story, _at_ms: int) -> list[Item]:
    """Return the items as they stand."""
    found = [hardness(story), crack(story), bow(story), tang(story)]
    if "customer_asked" in story.choices:
        asked_ms = story.choices["customer_asked"]["at_ms"]
        accepted = story.choices.get("customer_accepts")
        passed = True if accepted is not None and accepted["at_ms"] >= asked_ms else None
        found.append(item("customer", passed=passed, hard=True))
    found.append(initials(story))
    return found


def initials(story: Story) -> Item:
    """Somebody's initials: those of the release itself, until then of whoever wrote last."""
    signed = str(story.initials).strip()
    value = note("fold.value.initials", {"initials": signed}) if signed else None
    return item("initials", passed=True if signed else None, hard=True, value=value)


def hardness(story: Story) -> Item:
    """Hardness as it was promised: readings where a number was, a file where none was."""
    readings = story.fact("hardness", "readings_hrc")
    promised = story.limits.fact("target_hrc") is not None
    if readings is not None:
        passed: bool | None = True if len(readings) >= usual("release_readings") else None
        if outside_promise(story, readings) and not accepted_as_is(story):
            passed = False
        value = note("fold.value.hrc", {"value_hrc": sum(readings) / len(readings), "n": len(readings)})
        read_ms = story.read_ms("hardness")
        return item("hardness", passed=passed, hard=True, value=value, check=ask("hardness"), read_ms=read_ms)
    answer = story.fact("file", "answer")
    shown = None if answer is None else note("fold.value.file_" + answer)
    passed = True if answer is not None and not promised else None
    return item(
        "hardness",
        passed=passed,
        hard=True,
        value=shown,
        check=ask("hardness" if promised else "file"),
        read_ms=story.read_ms("file"),
    )


def accepted_as_is(story: Story) -> bool:
    """Tell whether the customer took the blade as it is after the hardness was read."""
    accepted = story.choices.get("customer_accepts")
    read_ms = story.read_ms("hardness")
    return accepted is not None and read_ms is not None and bool(accepted["at_ms"] >= read_ms)


def outside_promise(story: Story, readings: list[float]) -> int:
    """Return how many readings lie outside what was promised; a blade heated by eye has a wider band."""
    target = story.limits.fact("target_hrc")
    if not is_number(target):
        return 0
    band_hrc = usual("release_band_hrc")
    if story.limits.fact("heat_source") == "forge_by_eye":
        band_hrc += timer("by_eye_band_hrc")
    return len([one for one in readings if abs(one - target) > band_hrc])


def dropped_unchecked(story: Story) -> bool:
    """Tell whether it was dropped while hard and nobody has looked for cracks since as that needs."""
    dropped = [one["at_ms"] for one in story.findings if one["id"] == "dropped_hard"]
    if not dropped:
        return False
    look = story.latest.get("crack")
    if look is None or look["happened_ms"] < max(dropped):
        return True
    return look["body"].get("method") not in FINDS_FINE_CRACKS


def crack(story: Story) -> Item:
    """Looked for cracks, and how."""
    answer = story.fact("crack", "answer")
    method = story.fact("crack", "method")
    passed = None if answer is None or method is None else answer == "none"
    if passed and dropped_unchecked(story):
        passed = None
    value = None if answer is None else note("fold.value.crack_" + answer)
    return item(
        "crack", passed=passed, hard=True, value=value, check=ask("crack"), read_ms=story.read_ms("crack")
    )


def bow(story: Story) -> Item:
    """Inside the band of a finished blade."""
    check = ask("straightness", body=wanted_length(story))
    last = story.bows[-1] if story.bows else None
    if last is None or last["place"] not in ("temper", "finish"):
        return item("finished_bow", passed=None, hard=True, check=check)
    limit_pct = story.limits.number("finished_bow_limit_pct", usual("finished_bow_limit_pct"))
    most_mm = limit_pct / 100.0 * last["length_mm"]
    value = of(last["counts_mm"], most_mm, "mm")
    return item(
        "finished_bow",
        passed=last["counts_mm"] <= most_mm,
        hard=True,
        value=value,
        check=check,
        read_ms=last["read_ms"],
    )


def tang(story: Story) -> Item:
    """The tang soft at the shoulder: by the file, or because it was softened."""
    answer = story.fact("file_tang", "answer")
    passed = True if story.tang_softened else None
    if not story.tang_softened and answer is not None:
        passed = answer == "bites"
    return item(
        "tang",
        passed=passed,
        hard=True,
        check=ask("file", body={"place": "tang"}),
        read_ms=story.read_ms("file_tang"),
    )
