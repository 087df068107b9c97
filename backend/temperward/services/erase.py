"""Taking words away for good: of one entry, of a photo, or of a whole log such as a customer's."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, or_, select, update
from sqlalchemy.orm import Session

from temperward.errors import NotHere
from temperward.services.envelope import photo_of
from temperward.services.erased import (
    ErasedKeys,
    erased_keys,
    is_name,
    keep_erased,
    list_lone_photos,
    without_text,
)
from temperward.services.photos import drop_photo
from temperward.services.stale_logs import mark_stale
from temperward.storage.models import Entry, Photo, Shop
from temperward.storage.photo_store import PhotoStore
from temperward.storage.session import lock_counter

COLUMNS = {"entry": Entry.id, "photo": Entry.photo_sha256, "log": Entry.log_id}


def erase(wish: dict[str, Any], *, session: Session, store: PhotoStore, shop_id: str, now_ms: int) -> int:
    """Erase what is named, list it as staying erased, and return how many entries it touched.

    The list is committed before any bytes go: from then on nobody is given them, also when the server falls
    over in between and they go only at the next sweep.
    """
    what, key = wish["what"], wish["id"]
    if not is_name(key, of=what):
        raise NotHere
    last_seq = lock_counter(session, shop_id=shop_id)
    if not _is_here(session, shop_id=shop_id, what=what, key=key):
        raise NotHere
    keep_erased(session, shop_id=shop_id, what=what, key=key, now_ms=now_ms)
    count = apply_erasures(session, shop_id=shop_id, last_seq=last_seq, now_ms=now_ms)
    session.commit()
    for sha256 in _gone_photos(session, shop_id=shop_id, what=what, key=key):
        drop_photo(store, shop_id=shop_id, sha256=sha256)
    return count


def _gone_photos(session: Session, *, shop_id: str, what: str, key: str) -> list[str]:
    """Return the erased photos that go with what is named."""
    if what == "photo":
        return [key]
    shown = select(Entry.photo_sha256).where(
        Entry.shop_id == shop_id, COLUMNS[what] == key, Entry.photo_sha256.is_not(None)
    )
    gone = erased_keys(session, shop_id=shop_id).photos
    return sorted({sha256 for sha256 in session.scalars(shown) if sha256 is not None} & gone)


def _is_here(session: Session, *, shop_id: str, what: str, key: str) -> bool:
    if what == "photo" and session.get(Photo, (shop_id, key)) is not None:
        return True
    query = select(Entry.id).where(Entry.shop_id == shop_id, COLUMNS[what] == key).limit(1)
    return session.scalars(query).first() is not None


def apply_erasures(session: Session, *, shop_id: str, last_seq: int, now_ms: int) -> int:
    """Take the words out of every entry the list covers and still has them; the counter must be locked."""
    gone = erased_keys(session, shop_id=shop_id)
    covered = _covered(session, shop_id=shop_id, gone=gone)
    for count, entry in enumerate(covered, start=1):
        values = {
            "text": without_text(entry, wholly=entry["log_id"] in gone.logs),
            "cursor_seq": last_seq + count,
            "erased_ms": now_ms,
        }
        session.execute(update(Entry).where(Entry.shop_id == shop_id, Entry.id == entry["id"]).values(values))
    photos = {shown for shown in map(photo_of, covered) if shown is not None}
    list_lone_photos(session, shop_id=shop_id, photos=photos, now_ms=now_ms)
    session.execute(update(Shop).where(Shop.shop_id == shop_id).values(last_seq=last_seq + len(covered)))
    blades = {entry["log_id"] for entry in covered if entry["log_kind"] == "piece"}
    mark_stale(session, shop_id=shop_id, log_ids=sorted(blades))
    return len(covered)


def _covered(session: Session, *, shop_id: str, gone: ErasedKeys) -> list[dict[str, Any]]:
    """Return the entries that say what is gone and still have their words."""
    named: ColumnElement[bool] = or_(
        Entry.id.in_(gone.entries),
        Entry.log_id.in_(gone.logs),
        Entry.photo_sha256.in_(gone.photos),
        Entry.kind == "correct",
    )
    query = select(Entry.text).where(Entry.shop_id == shop_id, Entry.erased_ms.is_(None), named)
    found = [json.loads(text) for text in session.scalars(query.order_by(Entry.seq))]
    return [entry for entry in found if gone.covers(entry)]


@dataclass(frozen=True, slots=True, kw_only=True)
class WouldGo:
    """What an erasure would take away."""

    entries: list[dict[str, Any]]
    photos: list[str]


def would_go(session: Session, *, shop_id: str, what: str, key: str) -> WouldGo:
    """Return what erasing this would take away, and take nothing."""
    if not is_name(key, of=what) or not _is_here(session, shop_id=shop_id, what=what, key=key):
        raise NotHere
    named = {one: frozenset([key]) if one == what else frozenset() for one in COLUMNS}
    gone = ErasedKeys(entries=named["entry"], photos=named["photo"], logs=named["log"])
    entries = _covered(session, shop_id=shop_id, gone=gone)
    shown = {photo for photo in map(photo_of, entries) if photo is not None} | named["photo"]
    ids = {entry["id"] for entry in entries}
    photos = [photo for photo in sorted(shown) if photo == key or not _others(session, shop_id, photo, ids)]
    return WouldGo(entries=entries, photos=photos)


def _others(session: Session, shop_id: str, photo: str, ids: set[str]) -> bool:
    """Tell whether an entry besides these shows a photo."""
    query = select(Entry.id).where(
        Entry.shop_id == shop_id, Entry.photo_sha256 == photo, Entry.erased_ms.is_(None)
    )
    return not ids.issuperset(session.scalars(query))
