"""What moved between a kept card and the one made now: figures, cautions, checks, steps and their order."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from temperward.engine.process.frozen_limits import plausible
from temperward.engine.quantities import note, once

# As fine as a screen shows it: what reads the same has not moved (design).
SHOWN_STEPS = {"degC": 1.0, "K": 1.0, "mm": 0.01, "HRC": 0.1, "pct": 0.01, "l": 0.1, "s": 1.0}
OTHER_STEP = 0.01  # design: two decimals of what has no unit
SHORT_S, SHORT_STEP_S = 10.0, 0.1  # design: below it a screen shows tenths
SAID = [["caution", "cautions"], ["check", "checks"]]
# Of the limits that no step shows: what the waits of the fold go by, and the file that tells hard from soft.
BEHIND = [
    ["cycle_cooling_s", "s"],
    ["hand_warm_s", "s"],
    ["temper_reading_s", "s"],
    ["oven_peak_c", "degC"],
    ["file_must_not_cut_hrc", "HRC"],
]

Group = dict[str, Any]


def moved(kept: Group, new: Group, *, to_do: Callable[[Group], bool]) -> list[Group]:
    """Return what moved, step by step: of each its title, and rows of what was and what is now.

    Only steps still to be done are compared. A kept card may be of any make: what is no part of a card as
    this engine knows it is passed over.
    """
    before = [step for step in listed(kept.get("steps")) if to_do(step)]
    after = [step for step in listed(new.get("steps")) if to_do(step)]
    found = []
    for step in after:
        old = _of_id(before, step["id"])
        if old is None:
            found.append(
                _group(step, title=note("offer.moved.added", {"step": title_of(step)}), old={}, new=step)
            )
        else:
            found.append(_group(step, title=title_of(step), old=old, new=step))
    for step in before:
        if _of_id(after, step["id"]) is None:
            left_out = note("offer.moved.left_out", {"step": title_of(step)})
            found.append(_group(step, title=left_out, old=step, new={}))
    head = _head(kept, new, in_steps=_point_ids(before) + _point_ids(after))
    found = [head] + found + [_order(before, after)]
    return [group for group in found if group["rows"] or group["whole"]]


def listed(value: Any) -> list[Group]:
    """Return the groups of a list that carry an id."""
    rows = value if isinstance(value, list) else []
    return [one for one in rows if isinstance(one, dict) and isinstance(one.get("id"), str)]


def title_of(step: Group) -> Group:
    """Return a step's title; one that is no words of ours is called by its id."""
    title: Group = step.get("title", {})
    return title if is_note(title) else note("say:" + step["id"])


def is_note(value: Any) -> bool:
    """Tell whether a value is a words key with its facts."""
    return (
        isinstance(value, dict) and isinstance(value.get("key"), str) and isinstance(value.get("facts"), dict)
    )


def told(value: Any, unit: str) -> str:
    """Return a value as far as it can be told from another: a figure in whole steps of what is shown.

    >>> told(810.2, "degC") == told(809.8, "degC"), told(3.64, "s") == told(3.56, "s")
    (True, True)
    """
    if plausible(value):
        step = SHOWN_STEPS.get(unit, OTHER_STEP)
        short = unit == "s" and abs(value) < SHORT_S
        steps = math.floor(value / (SHORT_STEP_S if short else step) + 0.5)
        return str(int(steps)) + ("t" if short else "")
    if is_note(value):
        facts = value["facts"]
        parts = [name + "=" + told(facts[name], "") for name in sorted(facts)]
        return " ".join([value["key"]] + parts)
    if isinstance(value, list):
        return ",".join([told(one, unit) for one in value])
    return value if isinstance(value, str) else ""


def fingerprint(groups: list[Group]) -> list[str]:
    """Return what is offered as plain texts, by which a later look knows it again."""
    found = []
    for group in groups:
        if group["whole"]:
            found.append(group["id"] + " " + group["title"]["key"])
        found += [group["id"] + "." + row["id"] + "=" + told_point(row["now"]) for row in group["rows"]]
    return found


def told_point(point: Group | None) -> str:
    """Return a set point with its tolerance, as far as it can be told from another."""
    if point is None:
        return ""
    unit = point["unit"] if isinstance(point.get("unit"), str) else ""
    return "|".join([told(point.get(name), unit) for name in ("value", "minus", "plus")])


def _group(step: Group, *, title: Group, old: Group, new: Group) -> Group:
    """Return one step with its rows; one that is new or left out is told even without a figure."""
    rows = _points(old.get("set_points"), new.get("set_points"))
    for name, where in SAID:
        rows += _texts(name, old=_notes(old.get(where)), new=_notes(new.get(where)))
    return {
        "id": step["id"],
        "title": title,
        "rows": rows,
        "whole": not old or not new,
        "sources": _sources(rows),
    }


def _points(old: Any, new: Any) -> list[Group]:
    """Return the set points that read otherwise now."""
    before, after = listed(old), listed(new)
    ids = once([point["id"] for point in after] + [point["id"] for point in before])
    rows = []
    for point_id in ids:
        was, now = _of_id(before, point_id), _of_id(after, point_id)
        if told_point(was) != told_point(now):
            rows.append({"id": point_id, "label": _label(now, was, point_id), "was": was, "now": now})
    return rows


def _label(now: Group | None, was: Group | None, point_id: str) -> Group:
    for point in (now, was):
        if point is not None and is_note(point.get("label")):
            return dict(point["label"])
    return note("say:" + point_id)


def _notes(value: Any) -> list[Group]:
    """Return the sentences of a list; a check carries its own under `text`."""
    rows = [one for one in (value if isinstance(value, list) else []) if isinstance(one, dict)]
    texts = [one["text"] if is_note(one.get("text")) else one for one in rows]
    return [one for one in texts if is_note(one)]


def _texts(name: str, *, old: list[Group], new: list[Group]) -> list[Group]:
    """Return sentences that came or went; one whose figures moved stands beside what it was."""
    before, after = [told(one, "") for one in old], [told(one, "") for one in new]
    gone = [one for one in old if told(one, "") not in after]
    rows = []
    for now in new:
        if told(now, "") in before:
            continue
        was = [one for one in gone if one["key"] == now["key"]]
        gone = [one for one in gone if one["key"] != now["key"]]
        rows.append(_said(name, was=was[0] if was else None, now=now))
    return rows + [_said(name, was=one, now=None) for one in gone]


def _said(name: str, *, was: Group | None, now: Group | None) -> Group:
    said = now if now is not None else was
    return {
        "id": "" if said is None else said["key"],
        "label": note("offer.moved." + name),
        "was": None if was is None else {"value": was},
        "now": None if now is None else {"value": now},
    }


def _head(kept: Group, new: Group, *, in_steps: list[str]) -> Group:
    """Return what stands at the head of the card or behind its steps, and is not in a step as well."""
    rows = _texts("verdict", old=_notes([kept.get("verdict")]), new=_notes([new.get("verdict")]))
    rows += _texts("warning", old=_notes(kept.get("warnings")), new=_notes(new.get("warnings")))
    for row in _points(_figures(kept), _figures(new)):
        if row["id"] not in in_steps:
            rows.append(row)
    return {
        "id": "head",
        "title": note("offer.moved.head"),
        "rows": rows,
        "whole": False,
        "sources": _sources(rows),
    }


def _figures(card: Group) -> list[Group]:
    """Return the banded figures of a card, and those of its limits that no step shows, as set points."""
    points = []
    for figure in listed(card.get("numbers")):
        value: Any = figure.get("value")
        low: Any = figure.get("low")
        high: Any = figure.get("high")
        point = dict(figure)
        point["minus"] = value - low if plausible(value) and plausible(low) else None
        point["plus"] = high - value if plausible(value) and plausible(high) else None
        points.append(point)
    limits = card.get("limits")
    for name, unit in BEHIND:
        given = limits.get(name) if isinstance(limits, dict) else None
        if plausible(given):
            points.append({"id": name, "label": note("offer.moved." + name), "value": given, "unit": unit})
    return points


def _order(before: list[Group], after: list[Group]) -> Group:
    """Return where the steps that both cards have stand in another order."""
    was = [step for step in before if _of_id(after, step["id"]) is not None]
    now = [step for step in after if _of_id(before, step["id"]) is not None]
    rows = [
        {
            "id": str(k + 1),
            "label": note("offer.moved.place", {"n": now[k]["n"]}),
            "was": {"value": title_of(was[k])},
            "now": {"value": title_of(now[k])},
        }
        for k in range(min(len(was), len(now)))
        if was[k]["id"] != now[k]["id"]
    ]
    return {"id": "order", "title": note("offer.moved.order"), "rows": rows, "whole": False, "sources": []}


def _of_id(rows: list[Group], wanted: str) -> Group | None:
    for one in rows:
        if one["id"] == wanted:
            return one
    return None


def _point_ids(steps: list[Group]) -> list[str]:
    return [point["id"] for step in steps for point in listed(step.get("set_points"))]


def _sources(rows: list[Group]) -> list[str]:
    """Return where the new figures come from."""
    found: list[str] = []
    for row in rows:
        named = None if row["now"] is None else row["now"].get("sources")
        found += [one for one in (named if isinstance(named, list) else []) if isinstance(one, str)]
    return once(found)
