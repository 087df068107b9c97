"""The two orders of a log: log order says what corrects what, shop order says what happened after what."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from temperward.engine.process.entries import Tables, readable

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


def in_order(entries: list[Entry], *, read_by: Callable[[Entry, Tables], bool] = readable) -> Ordered:
    """Return the log's entries after withdrawals and corrections, in shop order."""
    ordered = Ordered()
    ordered.log = list(entries) if _as_written(entries) else sorted(entries, key=_log_key)
    work = _Work(ordered.log, read_by)
    _withdraw(work)
    _correct(work, ordered)
    keys = _shop_keys(work, ordered)
    order = range(len(keys)) if _rising(keys) else [key[1] for key in sorted(keys)]
    for index in order:
        entry = work.effective[index]
        ordered.shop_order.append(entry["id"])
        if work.dead[index]:
            ordered.withdrawn.append(entry["id"])
        elif not work.read[index]:
            ordered.unread.append(entry["id"])
        elif entry["kind"] not in STRUCTURE:
            ordered.events.append(entry)
    return ordered


class _Work:
    """A log while its corrections are worked out; the lists run side by side."""

    def __init__(self, log: list[Entry], read_by: Callable[[Entry, Tables], bool]) -> None:
        self.log = log
        self.read_by = read_by
        self.tables = Tables()
        self.effective = list(log)
        self.read = [read_by(entry, self.tables) for entry in log]
        self.dead = [False] * len(log)
        self.structure = [index for index in range(len(log)) if log[index]["kind"] in STRUCTURE]
        self.place: dict[str, int] = {}
        if self.structure:
            for index in range(len(log)):
                self.place[log[index]["id"]] = index


def _as_written(entries: list[Entry]) -> bool:
    """Tell whether the entries stand in log order already, as they do in a log of one phone: no sort then."""
    before = -1
    for entry in entries:
        lamport = entry["lamport"]
        if lamport <= before:
            return False
        before = lamport
    return True


def _log_key(entry: Entry) -> tuple[int, str]:
    return (entry["lamport"], entry["id"])


def _withdraw(work: _Work) -> None:
    """Mark what is taken back; a withdrawal that is itself taken back takes nothing back."""
    for turn in range(len(work.structure) - 1, -1, -1):
        index = work.structure[turn]
        entry = work.log[index]
        if entry["kind"] != "withdraw" or work.dead[index] or not work.read[index]:
            continue
        target = work.place.get(entry["body"]["entry_id"], -1)
        if 0 <= target < index:
            work.dead[target] = True


def _correct(work: _Work, ordered: Ordered) -> None:
    for index in work.structure:
        if work.dead[index] or not work.read[index]:
            continue
        entry = work.log[index]
        if entry["kind"] == "choose":
            ordered.chosen[entry["body"]["entry_id"]] = True
        if entry["kind"] == "correct":
            target = _corrected_place(work.log, work.place, index)
            if target >= 0 and not work.dead[target]:
                _correct_one(work, ordered, target=target, index=index)


def _corrected_place(log: list[Entry], place: dict[str, int], index: int) -> int:
    """Return where the corrected entry stands; a correction of a correction reaches through to it."""
    while True:
        target = place.get(log[index]["body"].get("entry_id"), -1)
        if not 0 <= target < index:
            return -1
        if log[target]["kind"] != "correct":
            return target
        index = target


def _correct_one(work: _Work, ordered: Ordered, *, target: int, index: int) -> None:
    correction = work.log[index]
    new = dict(work.effective[target])
    for name in ("body", "happened_ms", "plus_minus_s"):
        if name in correction["body"]:
            new[name] = correction["body"][name]
    if "happened_ms" in correction["body"]:
        new["moved"] = True
    if not work.read_by(new, work.tables):
        work.read[index] = False  # kept unread, and changes nothing
        return
    work.effective[target] = new
    work.read[target] = True
    ordered.corrected.append({"entry_id": new["id"], "by": correction["id"]})


def _rising(keys: list[tuple[int, int]]) -> bool:
    before = -1
    for at_ms, _ in keys:
        if at_ms < before:
            return False
        before = at_ms
    return True


def _shop_keys(work: _Work, ordered: Ordered) -> list[tuple[int, int]]:
    """Return the key of each entry in shop order: its instant, then its place in log order.

    Only a back-dated or an estimated entry may move in front of what its own device wrote earlier. A live
    entry whose clock says otherwise stays behind, and a jump back of the clock is noted once.
    """
    highest: dict[str, int] = {}
    latest: dict[str, int] = {}
    keys = []
    for index in range(len(work.effective)):
        entry = work.effective[index]
        at_ms = entry["happened_ms"]
        if entry["at_source"] == "live" and not work.dead[index] and "moved" not in entry:
            device = entry["device_id"]
            if device in latest and at_ms < latest[device]:
                behind_ms = latest[device] - at_ms
                if behind_ms > CLOCK_JUMP_MS:
                    ordered.clock_changes.append({"entry_id": entry["id"], "behind_s": behind_ms // 1000})
            latest[device] = at_ms
            if device in highest and at_ms < highest[device]:
                at_ms = highest[device]
            highest[device] = at_ms
        keys.append((at_ms, index))
    return keys
