"""Times written on the paper card: the boxes it has, and the marks that a time in each of them stands for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine.errors import OutOfRange, UnknownName, shown
from temperward.engine.facts import is_number
from temperward.engine.process.fold import HeldLog
from temperward.engine.process.frozen_limits import timer
from temperward.engine.quantities import note

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry
    from temperward.engine.process.story import Story

SECOND_MS = 1000
READ_TO_S = 60  # definition: a clock time on paper has no seconds
# The boxes of a step's line on the paper, in the order in which they are filled (design).
BOXES = {
    "ground_ready": [["done", "ground_ready"]],
    "stress_relief": [["in", "in_fire"], ["out", "out_of_fire"]],
    "cycle": [["in", "in_fire"], ["out", "out_of_fire"]],
    "ready_to_harden": [["done", "ready"]],
    "hardening_heat": [["in", "hardening_fire"]],
    "quench": [["in", "quenched"]],
    "straighten_now": [["out", "out_of_bath"]],
    "temper": [["in", "in_oven"], ["at", "at_heat"], ["out", "out_of_oven"]],
}
# What has no box because it takes no hand: the blade grew cold, some time before the next thing was done.
COLD_AFTER = {"out_of_fire": "cold", "out_of_oven": "cold_after_temper"}


def paper_times(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `paper_times`: takes what `fold` takes of a blade, and `times` in ms by box.

    `boxes` are all of the card's, with whether the log has that mark already; `lines` are the entries that
    the given times stand for, each good to the minute that was read off a clock. That the blade grew cold
    between two of them has no box: it is estimated, from out of the heat to the next time, and says how far
    it may be off.
    """
    given = dict(facts) if isinstance(facts, dict) else {}
    times = given.pop("times", {})
    held = HeldLog(given.get("entries"))
    story = held.read(given)
    if story is None:
        raise UnknownName(
            field="log_kind", value=given["log_kind"], reason="refusal.unknown_name", choices=["piece"]
        )
    boxes = boxes_of(story, held.ordered.events)
    lines = lines_of(story, held.ordered.events, boxes=boxes, times=read(times))
    return {"log_id": given["log_id"], "boxes": boxes, "lines": lines}


def read(times: Any) -> dict[str, int]:
    """Return the instants by box, refused by name where one is none."""
    if not isinstance(times, dict):
        raise UnknownName(field="times", value=shown(times), reason="refusal.not_an_object")
    found = {}
    for name in sorted(times):
        if not is_number(times[name]) or times[name] < 0:
            raise OutOfRange(
                field="times." + str(name),
                value=None,
                low=0,
                high=None,
                unit="ms",
                reason="refusal.not_a_number",
            )
        found[name] = int(times[name])
    return found


def boxes_of(story: Story, events: list[Entry]) -> list[dict[str, Any]]:
    """Return the boxes; one is done when the log has more such marks than boxes came before it."""
    marked: dict[str, int] = {}
    for entry in events:
        if entry["kind"] == "mark":
            marked[entry["body"]["mark"]] = marked.get(entry["body"]["mark"], 0) + 1
    found = []
    for step in story.limits.steps:
        for place, mark in BOXES.get(str(step.get("kind")), []):
            left = marked.get(mark, 0)
            marked[mark] = left - 1
            found.append(
                {
                    "id": str(step.get("id")) + "." + place,
                    "title": step.get("title"),
                    "place": note("history.paper." + place),
                    "mark": mark,
                    "done": left > 0,
                }
            )
    return found


def lines_of(
    story: Story, events: list[Entry], *, boxes: list[dict[str, Any]], times: dict[str, int]
) -> list[dict[str, Any]]:
    """Return the marks of the boxes that got a time, the blade cold before whatever came after it was out."""
    typed = [[box["mark"], times[box["id"]]] for box in boxes if box["id"] in times]
    known = [[entry["body"]["mark"], entry["happened_ms"]] for entry in events if entry["kind"] == "mark"]
    found = []
    for mark, at_ms in typed:
        body = {"mark": mark, "purpose": "temper"} if mark == "in_oven" else {"mark": mark}
        found.append(_line(body, at_ms=at_ms, plus_minus_s=READ_TO_S, at_source="back_dated"))
        after = [one for one in typed + known if one[1] > at_ms]
        cold = COLD_AFTER.get(mark)
        if cold is None or not after or cold in [one[0] for one in after if one[1] == _first_ms(after)]:
            continue
        cooled_ms = at_ms + int(story.limits.number("cycle_cooling_s", timer("cycle_cooling_s")) * SECOND_MS)
        cold_ms = min(cooled_ms, _first_ms(after))
        apart_s = (cold_ms - at_ms) // SECOND_MS
        found.append(_line({"mark": cold}, at_ms=cold_ms, plus_minus_s=apart_s, at_source="estimated"))
    return found


def _first_ms(rows: list[list[Any]]) -> int:
    return int(min([row[1] for row in rows]))


def _line(body: dict[str, Any], *, at_ms: int, plus_minus_s: int, at_source: str) -> dict[str, Any]:
    return {
        "kind": "mark",
        "body": body,
        "happened_ms": at_ms,
        "plus_minus_s": plus_minus_s,
        "at_source": at_source,
    }
