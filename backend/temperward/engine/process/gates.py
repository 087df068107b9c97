"""Stop points: what must be seen to before the steps that cannot be taken back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine.process.actions import check_action
from temperward.engine.process.frozen_limits import timer
from temperward.engine.process.story import Story
from temperward.engine.quantities import note

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

SECOND_MS = 1000
FADING = ["bath_temperature", "oven"]  # going anyway on these holds no longer than a reading would

Item = dict[str, Any]


def item(
    item_id: str,
    *,
    passed: bool | None,
    hard: bool,
    value: dict[str, Any] | None = None,
    expires_ms: int | None = None,
    check: dict[str, Any] | None = None,
    overridable: bool = True,
    text: dict[str, Any] | None = None,
    read_ms: int | None = None,
) -> Item:
    """Return one item: passed, failed, or (nothing) not looked at yet; `read_ms` is when it was looked at."""
    return {
        "id": item_id,
        "text": note("fold.item." + item_id) if text is None else text,
        "passed": passed,
        "hard": hard,
        "overridable": overridable,
        "value": value,
        "expires_ms": expires_ms,
        "check": check,
        "overridden": None,
        "read_ms": read_ms,
    }


def ask(check: str, *, body: dict[str, Any] | None = None) -> dict[str, Any]:
    """Return the action that answers an item."""
    return check_action(check, body=body)


def settle(items: list[Item], gate_id: str, story: Story, at_ms: int) -> dict[str, Any]:
    """Return the gate: open when no hard item stands against it that nobody has answered for."""
    opened = True
    for one in items:
        read_ms = one.pop("read_ms")
        if one["passed"] is True:
            continue
        if one["overridable"]:
            one["overridden"] = _overridden(story, gate_id, one, at_ms, read_ms=read_ms)
        if one["hard"] and one["overridden"] is None:
            opened = False
    return {"id": gate_id, "open": opened, "items": sorted(items, key=_rank)}


def _rank(one: Item) -> int:
    """Put first what stands against the gate, last what is settled; else the order stays."""
    if one["passed"] is True or one["overridden"] is not None:
        return 2
    return 0 if one["hard"] else 1


def answered(story: Story, gate_id: str, item_id: str, *, read_ms: int | None) -> Entry | None:
    """Return the override of an item; what was looked at after it asks for a new one."""
    entry = story.overrides.get(gate_id + "." + item_id)
    if entry is None or (read_ms is not None and read_ms > entry["happened_ms"]):
        return None
    return entry


def _overridden(
    story: Story, gate_id: str, one: Item, at_ms: int, *, read_ms: int | None
) -> dict[str, Any] | None:
    entry = answered(story, gate_id, one["id"], read_ms=read_ms)
    if entry is None:
        return None
    if one["expires_ms"] is not None or base_of(one["id"]) in FADING:
        until_ms = entry["happened_ms"] + timer("override_s") * SECOND_MS
        one["expires_ms"] = int(until_ms)
        if at_ms >= until_ms:
            return None
    return {
        "entry_id": entry["id"],
        "reason": entry["body"]["reason"],
        "initials": entry["body"]["initials"],
    }


def base_of(item_id: str) -> str:
    """Return the name that the items of several baths share."""
    return "bath_temperature" if item_id.startswith("bath_temperature") else item_id


def missing(gate: dict[str, Any]) -> list[str]:
    """Return the ids of the hard items that stand against a gate."""
    return [
        one["id"]
        for one in gate["items"]
        if one["hard"] and one["passed"] is not True and one["overridden"] is None
    ]


def first_missing(gate: dict[str, Any], *, hard_only: bool = True) -> Item | None:
    """Return the first item that stands against a gate."""
    for one in gate["items"]:
        if (one["hard"] or not hard_only) and one["passed"] is not True and one["overridden"] is None:
            return dict(one)
    return None


def yes(value: bool | None) -> dict[str, Any] | None:  # noqa: FBT001
    """Return a tick as a value."""
    if value is None:
        return None
    return note("fold.value.yes" if value else "fold.value.no")


def of(value: float, wanted: float, unit: str) -> dict[str, Any]:
    """Return a value beside what is wanted."""
    return note("fold.value.of_" + unit, {"value_" + unit: value, "of_" + unit: wanted})
