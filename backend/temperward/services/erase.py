"""Taking words away for good: of one entry, of a photo, or of a whole log such as a customer's."""

from __future__ import annotations

import json
from typing import Any

from sqlalchemy import ColumnElement, or_, select, update
from sqlalchemy.orm import Session

from temperward.errors import NotHere
from temperward.services.erased import erased_keys, is_name, without_text
from temperward.services.stale_logs import mark_stale
from temperward.storage.models import Entry, Erasure, Photo, Shop
from temperward.storage.photo_store import SMALL, PhotoStore
from temperward.storage.session import lock_counter, upsert


def erase(wish: dict[str, Any], *, session: Session, store: PhotoStore, shop_id: str, now_ms: int) -> int:
    """Erase what is named, list it as staying erased, and return how many entries it touched."""
    what, key = wish["what"], wish["id"]
    if not is_name(key, of=what):
        raise NotHere
    last_seq = lock_counter(session, shop_id=shop_id)
    if not _is_here(session, shop_id=shop_id, what=what, key=key):
        raise NotHere
    row = {"shop_id": shop_id, "what": what, "key": key, "erased_ms": now_ms}
    session.execute(upsert(session, Erasure).values(row).on_conflict_do_nothing())
    count = apply_erasures(session, shop_id=shop_id, last_seq=last_seq, now_ms=now_ms)
    session.commit()
    if what == "photo":
        drop_photo(store, shop_id=shop_id, sha256=key)
    return count


def _is_here(session: Session, *, shop_id: str, what: str, key: str) -> bool:
    if what == "photo" and session.get(Photo, (shop_id, key)) is not None:
        return True
    column = {"entry": Entry.id, "photo": Entry.photo_sha256, "log": Entry.log_id}[what]
    query = select(Entry.id).where(Entry.shop_id == shop_id, column == key).limit(1)
    return session.scalars(query).first() is not None


def apply_erasures(session: Session, *, shop_id: str, last_seq: int, now_ms: int) -> int:
    """Take the words out of every entry the list covers and still has them; the counter must be locked."""
    gone = erased_keys(session, shop_id=shop_id)
    named: ColumnElement[bool] = or_(
        Entry.id.in_(gone.entries),
        Entry.log_id.in_(gone.logs),
        Entry.photo_sha256.in_(gone.photos),
        Entry.kind == "correct",
    )
    query = select(Entry.id, Entry.text, Entry.log_id, Entry.log_kind).where(
        Entry.shop_id == shop_id, Entry.erased_ms.is_(None), named
    )
    count = 0
    logs = set()
    for found in session.execute(query).all():
        entry = json.loads(found.text)
        if not gone.covers(entry):
            continue
        count += 1
        if found.log_kind == "piece":
            logs.add(found.log_id)
        values = {
            "text": without_text(entry, wholly=found.log_id in gone.logs),
            "cursor_seq": last_seq + count,
            "erased_ms": now_ms,
        }
        session.execute(update(Entry).where(Entry.shop_id == shop_id, Entry.id == found.id).values(values))
    session.execute(update(Shop).where(Shop.shop_id == shop_id).values(last_seq=last_seq + count))
    mark_stale(session, shop_id=shop_id, log_ids=sorted(logs))
    return count


def drop_photo(store: PhotoStore, *, shop_id: str, sha256: str) -> None:
    """Take a photo's bytes away, with its small copy and whatever part of it was under way."""
    name = f"{shop_id}/{sha256}"
    store.delete(name)
    store.delete(name + SMALL)
    store.delete_parts(name)
