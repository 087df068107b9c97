"""Push and pull of entries: each judged by itself, stored once, passed on in one order."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Row, insert, select, update
from sqlalchemy.orm import Session

from temperward.services.envelope import Judged, is_unread, judge, same_json
from temperward.services.erased import erased_keys, without_text
from temperward.services.related import LOOKED_AT
from temperward.services.stale_logs import mark_blades_stale, mark_stale
from temperward.storage.models import Device, Entry, Shop
from temperward.storage.session import lock_counter

ENTRIES = Entry.metadata.tables["entries"]
MOST_ENTRIES = 500
MOST_ROWS = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What became of one offered entry."""

    index: int
    id: str | None
    status: Literal["stored", "had", "refused"]
    reason: str | None = None
    field: str | None = None
    seq: int | None = None

    def as_json(self) -> dict[str, Any]:
        """Return the result without what is not there."""
        parts = {"index": self.index, "id": self.id, "status": self.status}
        more = {"reason": self.reason, "field": self.field, "seq": self.seq}
        return parts | {name: value for name, value in more.items() if value is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """The next rows of a shop, as JSON texts, and where to go on."""

    rows: list[str]
    next_since: int
    more: bool


def push(session: Session, *, device: Device, offered: list[Any], now_ms: int) -> list[Result]:
    """Store what is new of the offered entries in one write transaction and name what became of each."""
    if not offered:
        return []
    judged = [judge(one, role=device.role) for one in offered]
    shop_id = device.shop_id
    last_seq = lock_counter(session, shop_id=shop_id)
    shelf = _Shelf(session, shop_id=shop_id, judged=judged, last_seq=last_seq, now_ms=now_ms)
    results = [shelf.put(index, one) for index, one in enumerate(judged)]
    shelf.write()
    session.commit()
    return results


class _Shelf:
    """The entries of one push on their way into the table, under the lock of the shop's counter."""

    def __init__(
        self, session: Session, *, shop_id: str, judged: list[Judged], last_seq: int, now_ms: int
    ) -> None:
        self.session = session
        self.shop_id = shop_id
        self.last_seq = last_seq
        self.now_ms = now_ms
        self.new: list[dict[str, Any]] = []
        ids = [one.id for one in judged if one.entry is not None]
        self.known = _known(session, shop_id=shop_id, ids=[one for one in ids if one])
        self.erased = erased_keys(session, shop_id=shop_id)

    def put(self, index: int, one: Judged) -> Result:
        """Say what becomes of one entry, and set it aside for writing when it is new."""
        if one.entry is None or one.id is None:
            return Result(index=index, id=one.id, status="refused", reason=one.reason, field=one.field)
        if one.id in self.known:
            return self._compared(index, one)
        status: Literal["stored", "had"] = "stored"
        text, erased_ms = one.text, None
        if self.erased.covers(one.entry):
            status, erased_ms = "had", self.now_ms
            text = without_text(one.entry, wholly=one.entry["log_id"] in self.erased.logs)
        self.last_seq += 1
        self.new.append(self._row(one.entry, text=text, erased_ms=erased_ms))
        self.known[one.id] = (self.last_seq, text, erased_ms)
        return Result(index=index, id=one.id, status=status, seq=self.last_seq)

    def _compared(self, index: int, one: Judged) -> Result:
        seq, text, erased_ms = self.known[one.id or ""]
        if erased_ms is None and text != one.text and not same_json(json.loads(text), one.entry):
            return Result(index=index, id=one.id, status="refused", reason="other_body")
        return Result(index=index, id=one.id, status="had", seq=seq)

    def _row(self, entry: dict[str, Any], *, text: str, erased_ms: int | None) -> dict[str, Any]:
        sha256 = entry["body"].get("sha256") if entry["kind"] == "photo" else None
        return {
            "shop_id": self.shop_id,
            "id": entry["id"],
            "seq": self.last_seq,
            "cursor_seq": self.last_seq,
            "log_kind": entry["log_kind"],
            "log_id": entry["log_id"],
            "kind": entry["kind"],
            "version": entry["version"],
            "lamport": entry["lamport"],
            "photo_sha256": sha256 if isinstance(sha256, str) else None,
            "unread": is_unread(entry),
            "received_ms": self.now_ms,
            "erased_ms": erased_ms,
            "text": text,
        }

    def write(self) -> None:
        """Write the new rows, the counter, and which logs have changed."""
        if not self.new:
            return
        # The table itself, not the mapped class: nothing here needs objects, and it takes half the time.
        self.session.execute(insert(ENTRIES), self.new)
        counter = update(Shop).where(Shop.shop_id == self.shop_id).values(last_seq=self.last_seq)
        self.session.execute(counter, execution_options={"synchronize_session": False})
        if any(row["log_kind"] in LOOKED_AT for row in self.new):
            mark_blades_stale(self.session, shop_id=self.shop_id)
        changed = sorted({row["log_id"] for row in self.new if row["log_kind"] == "piece"})
        mark_stale(self.session, shop_id=self.shop_id, log_ids=changed)


def _known(session: Session, *, shop_id: str, ids: list[str]) -> dict[str, tuple[int, str, int | None]]:
    query = select(Entry.id, Entry.seq, Entry.text, Entry.erased_ms).where(
        Entry.shop_id == shop_id, Entry.id.in_(ids)
    )
    return {row.id: (row.seq, row.text, row.erased_ms) for row in session.execute(query)}


def pull(session: Session, *, shop_id: str, since: int, want: int, leave_out: set[str]) -> Page:
    """Return the next rows after a cursor, without those the caller has just offered.

    An erased row is never left out: the caller still holds what was erased.
    """
    columns = (
        Entry.id,
        Entry.seq,
        Entry.cursor_seq,
        Entry.received_ms,
        Entry.unread,
        Entry.erased_ms,
        Entry.text,
    )
    query = (
        select(*columns)
        .where(Entry.shop_id == shop_id, Entry.cursor_seq > since)
        .order_by(Entry.cursor_seq)
        .limit(want + 1)
    )
    found = session.execute(query).all()
    page = found[:want]
    rows = [_row_text(row) for row in page if row.erased_ms is not None or row.id not in leave_out]
    next_since = page[-1].cursor_seq if page else since
    return Page(rows=rows, next_since=next_since, more=len(found) > want)


def _row_text(row: Row[str, int, int, int, bool, int | None, str]) -> str:
    extra = f',"seq":{row.seq},"received_ms":{row.received_ms}'
    if row.unread:
        extra += ',"unread":true'
    if row.erased_ms is not None:
        extra += f',"erased_ms":{row.erased_ms}'
    return f"{row.text[:-1]}{extra}}}"


def answer_text(*, epoch: str, now_ms: int, results: list[Result], page: Page) -> str:
    """Write the answer; the rows are put in as they were stored, without being read again."""
    head = {"epoch": epoch, "now_ms": now_ms, "results": [one.as_json() for one in results]}
    tail = f',"rows":[{",".join(page.rows)}],"next_since":{page.next_since},"more":{json.dumps(page.more)}}}'
    return json.dumps(head, separators=(",", ":"))[:-1] + tail
