"""The two orders of a log: log order says what corrects what, shop order says what happened after what."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine.process.entries import Tables, readable

if TYPE_CHECKING:
    from collections.abc import Callable

    from temperward.engine.process.entries import Entry

    Reads = Callable[[Entry, Tables], bool]

CLOCK_JUMP_MS = 60000  # a step back by more than this is a changed clock, not a trimmed one (source: design)
STRUCTURE = ["withdraw", "correct", "choose"]


class Ordered:
    """A log after withdrawals and corrections: what counts, in shop order, and what became of the rest."""

    def __init__(self, read_by: Reads = readable) -> None:
        """Start with nothing read."""
        self.read_by = read_by
        self.tables = Tables()
        self.log: list[Entry] = []  # every entry, in log order
        self.events: list[Entry] = []  # what counts, in shop order
        self.shop_order: list[str] = []
        self.withdrawn: list[str] = []
        self.corrected: list[dict[str, str]] = []
        self.unread: list[str] = []
        self.chosen: dict[str, bool] = {}
        self.clock_changes: list[dict[str, Any]] = []
        self.last_lamport = -1
        self.last_at_ms = -1  # of the last entry in shop order
        self.devices = Devices(self.clock_changes)

    def take(self, entries: list[Entry]) -> bool:
        """Put entries at the end; tell whether the end of both orders is the place of each.

        If it is not, half of them are in: the whole log has to be worked out.
        """
        for entry in entries:  # noqa: SIM110 (a generator costs as much again, and every entry comes by here)
            if not self._append(entry):
                return False
        return True

    def _append(self, entry: Entry) -> bool:
        lamport = entry["lamport"]
        if lamport <= self.last_lamport or entry["kind"] in STRUCTURE:
            return False
        at_ms = self.devices.live_ms(entry) if entry["at_source"] == "live" else entry["happened_ms"]
        if at_ms < self.last_at_ms:
            return False
        self.last_lamport = lamport
        self.last_at_ms = at_ms
        self.log.append(entry)
        self.shop_order.append(entry["id"])
        if self.read_by(entry, self.tables):
            self.events.append(entry)
        else:
            self.unread.append(entry["id"])
        return True


class Devices:
    """The clock of each device, as far as its live entries tell."""

    def __init__(self, changes: list[dict[str, Any]]) -> None:
        """Note the jumps back in this list."""
        self.changes = changes
        self.highest: dict[str, int] = {}
        self.behind: dict[str, int] = {}  # what a clock said last, where that is less than its highest

    def live_ms(self, entry: Entry) -> int:
        """Return when a live entry counts as made: never before what its own device wrote earlier.

        A live entry whose clock says otherwise stays behind, and a jump back of the clock is noted once.
        """
        device = entry["device_id"]
        at_ms: int = entry["happened_ms"]
        highest_ms = self.highest.get(device, -1)
        if at_ms >= highest_ms:
            self.highest[device] = at_ms
            if self.behind:
                self.behind.pop(device, None)
            return at_ms
        before_ms = self.behind.get(device, highest_ms)
        self.behind[device] = at_ms
        if before_ms - at_ms > CLOCK_JUMP_MS:
            self.changes.append({"entry_id": entry["id"], "behind_s": (before_ms - at_ms) // 1000})
        return highest_ms


def in_order(entries: list[Entry], *, read_by: Reads = readable) -> Ordered:
    """Return the log's entries after withdrawals and corrections, in shop order."""
    ordered = Ordered(read_by)
    return ordered if ordered.take(entries) else worked_out(entries, read_by=read_by)


def worked_out(entries: list[Entry], *, read_by: Reads = readable) -> Ordered:
    """Return the order of a log in which something takes back, corrects or goes before something else."""
    ordered = Ordered(read_by)
    ordered.log = sorted(entries, key=_log_key)
    work = _Work(ordered)
    _withdraw(work)
    _correct(work, ordered)
    keys = sorted(_shop_keys(work, ordered))
    for _, index in keys:
        entry = work.effective[index]
        ordered.shop_order.append(entry["id"])
        if work.dead[index]:
            ordered.withdrawn.append(entry["id"])
        elif not work.read[index]:
            ordered.unread.append(entry["id"])
        elif entry["kind"] not in STRUCTURE:
            ordered.events.append(entry)
    if keys:
        ordered.last_lamport = ordered.log[-1]["lamport"]
        ordered.last_at_ms = keys[-1][0]
    return ordered


class _Work:
    """A log while its corrections are worked out; the lists run side by side."""

    def __init__(self, ordered: Ordered) -> None:
        log = ordered.log
        self.log = log
        self.read_by = ordered.read_by
        self.tables = ordered.tables
        self.effective = list(log)
        self.read = [self.read_by(entry, self.tables) for entry in log]
        self.dead = [False] * len(log)
        self.structure = [index for index in range(len(log)) if log[index]["kind"] in STRUCTURE]
        self.place: dict[str, int] = {}
        for index in range(len(log)) if self.structure else []:
            self.place[log[index]["id"]] = index


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


def _shop_keys(work: _Work, ordered: Ordered) -> list[tuple[int, int]]:
    """Return the key of each entry in shop order: its instant, then its place in log order.

    Only a back-dated or an estimated entry may move in front of what its own device wrote earlier.
    """
    keys = []
    for index in range(len(work.effective)):
        entry = work.effective[index]
        live = entry["at_source"] == "live" and not work.dead[index] and "moved" not in entry
        keys.append((ordered.devices.live_ms(entry) if live else entry["happened_ms"], index))
    return keys
