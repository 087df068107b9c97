"""What proves that two stores hold the same: digests of tables, of one shop, and of its photos."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable

from sqlalchemy import Connection, Table, select
from sqlalchemy.orm import Session

from temperward.services.erased import erased_keys
from temperward.storage.models import Entry, Photo


def digest_of_table(connection: Connection, table: Table) -> dict[str, int | str]:
    """Return how many rows a table holds and the digest over them in the order of their key."""
    made = hashlib.sha256()
    rows = connection.execute(select(table)).all()
    for line in sorted(json.dumps(list(row)) for row in rows):
        made.update(line.encode() + b"\n")
    return {"rows": len(rows), "sha256": made.hexdigest()}


def state_hash(session: Session, *, shop_id: str) -> str:
    """Return the digest over a shop's entries and photos: equal on every store that holds the same."""
    texts = session.scalars(select(Entry.text).where(Entry.shop_id == shop_id))
    return hash_of(texts, photo_hashes(session, shop_id=shop_id))


def photo_hashes(session: Session, *, shop_id: str) -> list[str]:
    """Return the hashes of a shop's photos, without those that were erased."""
    gone = erased_keys(session, shop_id=shop_id).photos
    found = session.scalars(select(Photo.sha256).where(Photo.shop_id == shop_id).order_by(Photo.sha256))
    return [sha256 for sha256 in found if sha256 not in gone]


def hash_of(entry_texts: Iterable[str], photo_hashes: Iterable[str]) -> str:
    """Return the digest over entries, by value, and photo hashes, in an order of their own."""
    entries = sorted(
        json.dumps(json.loads(text), sort_keys=True, separators=(",", ":")) for text in entry_texts
    )
    made = hashlib.sha256()
    for line in [*entries, *sorted(photo_hashes)]:
        made.update(line.encode() + b"\n")
    return made.hexdigest()
