"""Push and pull of entries: each judged by itself, stored once, passed on in one order."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

from sqlalchemy import Row, bindparam, or_, select, update
from sqlalchemy.orm import Session

from temperward.services.envelope import Judged, is_skewed, is_unread, judge, photo_of, same_json
from temperward.services.erased import erased_keys, list_lone_photos, without_text
from temperward.services.log_rules import LogRules
from temperward.services.related import LOOKED_AT
from temperward.services.stale_logs import mark_blades_stale, mark_stale
from temperward.storage.models import Device, Entry
from temperward.storage.session import insert_rows, last_number, lock_counter
from temperward.storage.together import write_together

ENTRIES, SHOPS = Entry.metadata.tables["entries"], Entry.metadata.tables["shops"]
COLUMNS = (
    "shop_id",
    "id",
    "seq",
    "cursor_seq",
    "log_kind",
    "log_id",
    "kind",
    "version",
    "lamport",
    "photo_sha256",
    "unread",
    "received_ms",
    "erased_ms",
    "text",
)
MOST_ENTRIES = 500
MOST_ROWS = 1000
# Of rows in one page: a thousand of the largest entries would be 64 MB in the server and in the phone.
PAGE_BYTES = 4 * 1024 * 1024
ROWS_AT_A_TIME = 200  # read from the database
# Made once: making a statement takes longer than running it.
KNOWN = select(ENTRIES.c.id, ENTRIES.c.seq, ENTRIES.c.text, ENTRIES.c.erased_ms).where(
    ENTRIES.c.shop_id == bindparam("shop_id"), ENTRIES.c.id.in_(bindparam("ids", expanding=True))
)
COUNT_ON = update(SHOPS).where(SHOPS.c.shop_id == bindparam("shop")).values(last_seq=bindparam("last"))
PULL = (
    select(
        ENTRIES.c.id,
        ENTRIES.c.seq,
        ENTRIES.c.cursor_seq,
        ENTRIES.c.received_ms,
        ENTRIES.c.unread,
        ENTRIES.c.erased_ms,
        ENTRIES.c.text,
    )
    .where(ENTRIES.c.shop_id == bindparam("shop_id"), ENTRIES.c.cursor_seq > bindparam("since"))
    # The run of numbers that this very call has filled is passed over: most pulls follow a push.
    .where(or_(ENTRIES.c.cursor_seq < bindparam("first"), ENTRIES.c.cursor_seq > bindparam("last")))
    .order_by(ENTRIES.c.cursor_seq)
    .limit(bindparam("most"))
)

PulledRow = Row[str, int, int, int, bool, int | None, str]


class Result(NamedTuple):
    """What became of one offered entry."""

    place: int
    id: str | None
    status: Literal["stored", "had", "refused"]
    reason: str | None = None
    field: str | None = None
    seq: int | None = None
    skewed: bool = False

    def as_json(self) -> dict[str, Any]:
        """Return the result without what is not there."""
        parts = {"index": self.place, "id": self.id, "status": self.status}
        more = {"reason": self.reason, "field": self.field, "seq": self.seq}
        return parts | {name: value for name, value in more.items() if value is not None}

    def as_text(self) -> str:
        """Return the result as JSON; ids and words of ours hold nothing that JSON would have to escape."""
        if self.status == "refused":
            return json.dumps(self.as_json(), separators=(",", ":"))
        flag = ',"skewed":true' if self.skewed else ""
        return f'{{"index":{self.place},"id":"{self.id}","status":"{self.status}","seq":{self.seq}{flag}}}'


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """The next rows of a shop, as JSON texts, and where to go on."""

    rows: list[str]
    next_since: int
    more: bool


class Known(NamedTuple):
    """What the shop holds under an id that is offered."""

    seq: int
    text: str
    erased_ms: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pushed:
    """What became of each offered entry, and the run of numbers that went to whole new ones."""

    results: list[Result]
    first_new: int = 0
    last_new: int = -1


def push(session: Session, *, device: Device, offered: list[Any], now_ms: int) -> Pushed:
    """Store what is new of the offered entries in one write transaction and name what became of each.

    Looked at first without the lock: who offers nothing new waits for nobody, and nobody for them.
    """
    if not offered:
        return Pushed(results=[])
    judged = [judge(one, role=device.role) for one in offered]
    shop_id = device.shop_id
    ids = [one.id for one in judged if one.entry is not None and one.id is not None]
    seen_seq = last_number(session, shop_id=shop_id)
    known = _known(session, shop_id=shop_id, ids=ids)
    if all(one in known for one in ids):
        return Pushed(results=[_without_new(index, one, known=known) for index, one in enumerate(judged)])

    def write(together: Session) -> Pushed:
        last_seq = lock_counter(together, shop_id=shop_id)
        there = known
        if last_seq != seen_seq:  # somebody has written since
            there = _known(together, shop_id=shop_id, ids=ids)
        shelf = _Shelf(together, shop_id=shop_id, known=dict(there), last_seq=last_seq, now_ms=now_ms)
        return shelf.put_all(judged)

    return write_together(session, write)


def _without_new(index: int, one: Judged, *, known: dict[str, Known]) -> Result:
    """Say what becomes of an entry that is refused, or known already."""
    if one.entry is None or one.id is None:
        return Result(index, one.id, "refused", reason=one.reason, field=one.field)
    there = known[one.id]
    whole, same = there.erased_ms is None, there.text == one.text
    if whole and not same and not same_json(json.loads(there.text), one.entry):
        return Result(index, one.id, "refused", reason="other_body")
    return Result(index, one.id, "had", seq=there.seq)


class _Shelf:
    """The entries of one push on their way into the table, under the lock of the shop's counter."""

    def __init__(
        self, session: Session, *, shop_id: str, known: dict[str, Known], last_seq: int, now_ms: int
    ) -> None:
        self.session = session
        self.shop_id = shop_id
        self.last_seq = last_seq
        self.now_ms = now_ms
        self.known = known
        self.new: list[tuple[Any, ...]] = []
        self.some_erased = False
        self.erased_photos: set[str] = set()
        self.log_kinds: set[str] = set()
        self.changed: set[str] = set()
        self.erased = erased_keys(session, shop_id=shop_id)
        self.rules = LogRules(session, shop_id=shop_id)

    def put_all(self, judged: list[Judged]) -> Pushed:
        """Put every entry in its place and write what is new."""
        first = self.last_seq + 1
        self.rules.look_at(
            [one.entry for one in judged if one.entry is not None and one.id not in self.known]
        )
        results = [self.put(index, one) for index, one in enumerate(judged)]
        self.write()
        if self.some_erased:  # the caller must meet them
            return Pushed(results=results)
        return Pushed(results=results, first_new=first, last_new=self.last_seq)

    def put(self, index: int, one: Judged) -> Result:
        """Say what becomes of one entry, and set it aside for writing when it is new."""
        if one.entry is None or one.id is None or one.id in self.known:
            return _without_new(index, one, known=self.known)
        entry, text, erased_ms = one.entry, one.text, None
        wrong = self.rules.wrong_field(entry)
        if wrong is not None:
            return Result(index, one.id, "refused", reason="bad_envelope", field=wrong)
        status: Literal["stored", "had"] = "stored"
        if self.erased.covers(entry):
            status, erased_ms, self.some_erased = "had", self.now_ms, True
            text = without_text(entry, wholly=entry["log_id"] in self.erased.logs)
            shown = photo_of(entry)
            if shown is not None:
                self.erased_photos.add(shown)
        self.last_seq += 1
        self._set_aside(entry, text=text, erased_ms=erased_ms)
        self.known[one.id] = Known(seq=self.last_seq, text=text, erased_ms=erased_ms)
        return Result(index, one.id, status, seq=self.last_seq, skewed=is_skewed(entry, now_ms=self.now_ms))

    def _set_aside(self, entry: dict[str, Any], *, text: str, erased_ms: int | None) -> None:
        self.log_kinds.add(entry["log_kind"])
        if entry["log_kind"] == "piece":
            self.changed.add(entry["log_id"])
        self.new.append((
            self.shop_id,
            entry["id"],
            self.last_seq,
            self.last_seq,
            entry["log_kind"],
            entry["log_id"],
            entry["kind"],
            entry["version"],
            entry["lamport"],
            photo_of(entry),
            is_unread(entry),
            self.now_ms,
            erased_ms,
            text,
        ))  # fmt: skip

    def write(self) -> None:
        """Write the new rows, the counter, and which logs have changed."""
        if not self.new:
            return
        insert_rows(self.session, ENTRIES, columns=COLUMNS, rows=self.new)
        self.session.connection().execute(COUNT_ON, {"shop": self.shop_id, "last": self.last_seq})
        if not self.log_kinds.isdisjoint(LOOKED_AT):
            mark_blades_stale(self.session, shop_id=self.shop_id)
        mark_stale(self.session, shop_id=self.shop_id, log_ids=sorted(self.changed))
        list_lone_photos(self.session, shop_id=self.shop_id, photos=self.erased_photos, now_ms=self.now_ms)


def _known(session: Session, *, shop_id: str, ids: list[str]) -> dict[str, Known]:
    found = session.connection().execute(KNOWN, {"shop_id": shop_id, "ids": ids})
    return {row[0]: Known(*row[1:]) for row in found}


def pull(session: Session, *, shop_id: str, since: int, want: int, pushed: Pushed) -> Page:
    """Return the next rows after a cursor, without those the caller has just offered.

    An erased row is never left out: the caller still holds what was erased.
    """
    facts = {"shop_id": shop_id, "since": since, "most": want + 1}
    new = {"first": pushed.first_new, "last": pushed.last_new}
    few = {"yield_per": ROWS_AT_A_TIME}
    with session.connection().execute(PULL, facts | new, execution_options=few) as found:
        page, more = _page(found, want=want)
    own = {one.id for one in pushed.results if one.status != "refused"} if page else set()
    rows = [_row_text(row) for row in page if row.erased_ms is not None or row.id not in own]
    next_since = page[-1].cursor_seq if page else since
    return Page(rows=rows, next_since=next_since if more else max(next_since, pushed.last_new), more=more)


def _page(found: Iterable[PulledRow], *, want: int) -> tuple[list[PulledRow], bool]:
    """Return as many rows as are wanted and fit into a page, at least one, and whether there are more."""
    page: list[PulledRow] = []
    size_bytes = 0
    for row in found:
        size_bytes += len(row.text)
        if len(page) == want or (page and size_bytes > PAGE_BYTES):
            return page, True
        page.append(row)
    return page, False


def _row_text(row: PulledRow) -> str:
    extra = f',"seq":{row.seq},"received_ms":{row.received_ms}'
    if row.unread:
        extra += ',"unread":true'
    if row.erased_ms is not None:
        extra += f',"erased_ms":{row.erased_ms}'
    return f"{row.text[:-1]}{extra}}}"


def answer_text(*, epoch: str, now_ms: int, results: list[Result], page: Page) -> str:
    """Write the answer; the rows are put in as they were stored, without being read again."""
    results_text = ",".join([one.as_text() for one in results])
    return (
        f'{{"epoch":{json.dumps(epoch)},"now_ms":{now_ms},"results":[{results_text}],'
        f'"rows":[{",".join(page.rows)}],"next_since":{page.next_since},"more":{json.dumps(page.more)}}}'
    )
