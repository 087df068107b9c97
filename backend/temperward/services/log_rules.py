"""What an entry must keep to beside its log: one id names one kind of log, and its counting leaves room."""

from __future__ import annotations

from typing import Any

from sqlalchemy import bindparam, func, select
from sqlalchemy.orm import Session

from temperward.services.envelope import LAMPORT_ROOM, LOG_KINDS
from temperward.storage.models import Entry

ENTRIES = Entry.metadata.tables["entries"]
# Asked for the kinds that a log should not be of: no row is found, and each log costs a look into the index,
# however long it is. Only of one that has several kinds, from before this rule, are all rows counted.
FIRST_OF_KINDS = (
    select(ENTRIES.c.log_id, ENTRIES.c.log_kind, func.min(ENTRIES.c.seq).label("first_seq"))
    .where(
        ENTRIES.c.shop_id == bindparam("shop_id"),
        ENTRIES.c.log_kind.in_(bindparam("log_kinds", expanding=True)),
        ENTRIES.c.log_id.in_(bindparam("log_ids", expanding=True)),
    )
    .group_by(ENTRIES.c.log_id, ENTRIES.c.log_kind)
)
HIGHEST = select(func.max(ENTRIES.c.lamport)).where(
    ENTRIES.c.shop_id == bindparam("shop_id"),
    ENTRIES.c.log_kind == bindparam("log_kind"),
    ENTRIES.c.log_id == bindparam("log_id"),
)


class LogRules:
    """The rules for the new entries of one push, under the lock of the shop's counter.

    A phone reads a log by its id alone, and the engine takes a log of one kind: an entry of another kind
    under the same id would be a stranger in it. Whoever came first says which kind it is.
    """

    def __init__(self, session: Session, *, shop_id: str) -> None:
        """Know of no log yet."""
        self.session = session
        self.shop_id = shop_id
        self.kinds: dict[str, str] = {}
        self.highest: dict[str, int] = {}

    def look_at(self, entries: list[dict[str, Any]]) -> None:
        """Find out which of these logs are there as logs of another kind, and of which they were first."""
        named: dict[str, set[str]] = {}
        for entry in entries:
            named.setdefault(entry["log_kind"], set()).add(entry["log_id"])
        strange: set[str] = set()
        for log_kind, log_ids in named.items():
            others = [kind for kind in LOG_KINDS if kind != log_kind]
            strange |= {log_id for log_id, _kind, _seq in self._firsts(others, log_ids=log_ids)}
        if strange:
            in_order = sorted(self._firsts(list(LOG_KINDS), log_ids=strange), key=lambda row: -row[2])
            self.kinds = {log_id: log_kind for log_id, log_kind, _seq in in_order}

    def _firsts(self, log_kinds: list[str], *, log_ids: set[str]) -> list[tuple[str, str, int]]:
        """Return the number of the first entry of each kind in these logs."""
        wanted = {"shop_id": self.shop_id, "log_kinds": log_kinds, "log_ids": sorted(log_ids)}
        rows = self.session.connection().execute(FIRST_OF_KINDS, wanted)
        return [(row.log_id, row.log_kind, row.first_seq) for row in rows]

    def wrong_field(self, entry: dict[str, Any]) -> str | None:
        """Name the field by which an entry does not fit its log; one that fits counts for those after it."""
        log_id, lamport = entry["log_id"], entry["lamport"]
        if self.kinds.get(log_id, entry["log_kind"]) != entry["log_kind"]:
            return "log_kind"
        if lamport > LAMPORT_ROOM and lamport > self._highest(entry) + LAMPORT_ROOM:
            return "lamport"
        self.kinds[log_id] = entry["log_kind"]
        self.highest[log_id] = max(lamport, self.highest.get(log_id, 0))
        return None

    def _highest(self, entry: dict[str, Any]) -> int:
        """Return the highest number of a log; asked only for one that no log of ours reaches."""
        wanted = {"shop_id": self.shop_id, "log_kind": entry["log_kind"], "log_id": entry["log_id"]}
        found = self.session.connection().execute(HIGHEST, wanted).scalar()
        return max(found or 0, self.highest.get(entry["log_id"], 0))
