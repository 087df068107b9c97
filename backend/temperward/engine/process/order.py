"""The two orders of a log: log order says what corrects what, shop order says what happened after what."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from temperward.engine.process.entries import readable

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry

CLOCK_JUMP_MS = 60000  # a step back by more than this is a changed clock, not a trimmed one (source: design)
STRUCTURE = ["withdraw", "correct", "choose"]


class Ordered:
    """A log after withdrawals and corrections: what counts, in shop order, and what became of the rest."""

    def __init__(self) -> None:
        """Start with nothing read."""
        self.log: list[Entry] = []  # every entry, in log order
        self.events: list[Entry] = []  # what counts, in shop order
        self.shop_order: list[str] = []
        self.withdrawn: list[str] = []
        self.corrected: list[dict[str, str]] = []
        self.unread: list[str] = []
        self.chosen: dict[str, bool] = {}
        self.clock_changes: list[dict[str, Any]] = []


def in_order(entries: list[Entry], *, read_by: Callable[[Entry], bool] = readable) -> Ordered:
    """Return the log's entries after withdrawals and corrections, in shop order."""
    ordered = Ordered()
    log = sorted(entries, key=_log_key)
    ordered.log = log
    place = {entry["id"]: index for index, entry in enumerate(log)}
    read = [read_by(entry) for entry in log]
    dead = _withdrawn(log, place, read)
    effective = _after_corrections(log, place, read, dead, ordered, read_by)
    keys = _shop_keys(log, effective, dead, ordered)
    order = sorted(range(len(log)), key=lambda index: keys[index])
    ordered.shop_order = [log[index]["id"] for index in order]
    ordered.withdrawn = [log[index]["id"] for index in order if dead[index]]
    ordered.unread = [log[index]["id"] for index in order if not read[index] and not dead[index]]
    ordered.events = [
        effective[index] for index in order if _counts(effective[index], read[index], dead[index])
    ]
    return ordered


def _log_key(entry: Entry) -> tuple[int, str]:
    return (entry["lamport"], entry["id"])


def _counts(entry: Entry, is_read: bool, is_dead: bool) -> bool:  # noqa: FBT001
    return is_read and not is_dead and entry["kind"] not in STRUCTURE


def _withdrawn(log: list[Entry], place: dict[str, int], read: list[bool]) -> list[bool]:
    """Return which entries are taken back; a withdrawal that is itself taken back takes nothing back."""
    dead = [False] * len(log)
    for index in range(len(log) - 1, -1, -1):
        entry = log[index]
        if entry["kind"] != "withdraw" or dead[index] or not read[index]:
            continue
        target = place.get(entry["body"]["entry_id"], -1)
        if 0 <= target < index:
            dead[target] = True
    return dead


def _after_corrections(
    log: list[Entry],
    place: dict[str, int],
    read: list[bool],
    dead: list[bool],
    ordered: Ordered,
    read_by: Callable[[Entry], bool],
) -> list[Entry]:
    effective = list(log)
    for index, entry in enumerate(log):
        if dead[index] or not read[index]:
            continue
        if entry["kind"] == "choose":
            ordered.chosen[entry["body"]["entry_id"]] = True
        if entry["kind"] == "correct":
            target = _corrected_place(log, place, index)
            if target >= 0 and not dead[target]:
                _correct_one(effective, target, entry, read, index, ordered, read_by)
    return effective


def _corrected_place(log: list[Entry], place: dict[str, int], index: int) -> int:
    """Return where the corrected entry stands; a correction of a correction reaches through to what it corrected."""
    while True:
        target = place.get(log[index]["body"].get("entry_id"), -1)
        if not 0 <= target < index:
            return -1
        if log[target]["kind"] != "correct":
            return target
        index = target


def _correct_one(
    effective: list[Entry],
    target: int,
    correction: Entry,
    read: list[bool],
    index: int,
    ordered: Ordered,
    read_by: Callable[[Entry], bool],
) -> None:
    new = dict(effective[target])
    for name in ("body", "happened_ms", "plus_minus_s"):
        if name in correction["body"]:
            new[name] = correction["body"][name]
    if "happened_ms" in correction["body"]:
        new["moved"] = True
    if not read_by(new):
        read[index] = False  # a correction that makes nonsense of an entry is kept unread and changes nothing
        return
    effective[target] = new
    read[target] = True
    ordered.corrected.append({"entry_id": new["id"], "by": correction["id"]})


def _shop_keys(
    log: list[Entry], effective: list[Entry], dead: list[bool], ordered: Ordered
) -> list[tuple[int, int, str]]:
    """Return the key of each entry in shop order.

    Only a back-dated or an estimated entry may move in front of what its own device wrote earlier. A live entry
    whose clock says otherwise stays behind, and a jump back of the clock is noted once.
    """
    highest: dict[str, int] = {}
    latest: dict[str, int] = {}
    keys = []
    for index, entry in enumerate(effective):
        at_ms = entry["happened_ms"]
        device = entry["device_id"]
        if not dead[index] and entry["at_source"] == "live" and "moved" not in entry:
            behind_ms = latest.get(device, at_ms) - at_ms
            if behind_ms > CLOCK_JUMP_MS:
                ordered.clock_changes.append({"entry_id": entry["id"], "behind_s": behind_ms // 1000})
            latest[device] = at_ms
            at_ms = max(at_ms, highest.get(device, at_ms))
            highest[device] = at_ms
        keys.append((at_ms, log[index]["lamport"], log[index]["id"]))
    return keys
