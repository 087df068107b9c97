"""What has been erased, and how an entry looks without its words."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from temperward.services.envelope import SHA256, UUID, photo_of
from temperward.storage.models import Entry, Erasure
from temperward.storage.session import upsert

FREE_TEXT = ("text", "reason", "name")  # what people type; everything else in a body is choice or number
WHOLLY_TEXT = ("note", "photo")  # kinds of which nothing is left
NAMES = {"entry": UUID, "log": UUID, "photo": SHA256}
ERASURES = Erasure.metadata.tables["erasures"]
PHOTO_ERASED = select(ERASURES.c.key).where(
    ERASURES.c.shop_id == bindparam("shop_id"),
    ERASURES.c.what == "photo",
    ERASURES.c.key == bindparam("sha256"),
)
ERASED = select(Erasure.what, Erasure.key).where(Erasure.shop_id == bindparam("shop_id"))


@dataclass(frozen=True, slots=True, kw_only=True)
class ErasedKeys:
    """The ids, photo digests and logs of one shop that stay erased."""

    entries: frozenset[str]
    photos: frozenset[str]
    logs: frozenset[str]

    def covers(self, entry: dict[str, Any]) -> bool:
        """Tell whether an entry says what was erased: itself, as a photo, in its log, or by correcting it."""
        corrected = entry["body"].get("entry_id") if entry["kind"] == "correct" else None
        corrects = isinstance(corrected, str) and corrected in self.entries
        shows = photo_of(entry) in self.photos
        return corrects or shows or entry["id"] in self.entries or entry["log_id"] in self.logs


def is_name(key: Any, *, of: str) -> bool:
    """Tell whether a text can be the name of an entry, a log or a photo at all."""
    pattern = NAMES.get(of)
    return pattern is not None and isinstance(key, str) and pattern.fullmatch(key) is not None


def erased_keys(session: Session, *, shop_id: str) -> ErasedKeys:
    """Return what stays erased in a shop."""
    kinds: dict[str, set[str]] = {"entry": set(), "photo": set(), "log": set()}
    for what, key in session.connection().execute(ERASED, {"shop_id": shop_id}):
        kinds[what].add(key)
    return ErasedKeys(
        entries=frozenset(kinds["entry"]), photos=frozenset(kinds["photo"]), logs=frozenset(kinds["log"])
    )


def is_photo_erased(session: Session, *, shop_id: str, sha256: str) -> bool:
    """Tell whether a photo is on the list of what stays erased."""
    found = session.connection().execute(PHOTO_ERASED, {"shop_id": shop_id, "sha256": sha256})
    return found.first() is not None


def list_lone_photos(session: Session, *, shop_id: str, photos: set[str], now_ms: int) -> None:
    """Put on the list which of these photos no entry shows any more: they go with the last that did."""
    for sha256 in sorted(photos):
        shown = select(Entry.id).where(
            Entry.shop_id == shop_id, Entry.photo_sha256 == sha256, Entry.erased_ms.is_(None)
        )
        if session.execute(shown.limit(1)).first() is None:
            keep_erased(session, shop_id=shop_id, what="photo", key=sha256, now_ms=now_ms)


def keep_erased(session: Session, *, shop_id: str, what: str, key: str, now_ms: int) -> None:
    """Put a name on the list of what stays erased, unless it is there."""
    row = {"shop_id": shop_id, "what": what, "key": key, "erased_ms": now_ms}
    session.execute(upsert(session, Erasure).values(row).on_conflict_do_nothing())


def without_text(entry: dict[str, Any], *, wholly: bool) -> str:
    """Return an entry's JSON text with its words gone.

    Id, time and who stay, and so does what moves a blade's state, unless nothing of the body is to be left.
    """
    body = {} if wholly or entry["kind"] in WHOLLY_TEXT else _stripped(entry["body"])
    return json.dumps({**entry, "body": {**body, "erased": True}}, separators=(",", ":"))


def _stripped(body: dict[str, Any]) -> dict[str, Any]:
    return {name: _inside(value) for name, value in body.items() if name not in FREE_TEXT}


def _inside(value: Any) -> Any:
    if isinstance(value, dict):
        return _stripped(value)
    return [_inside(one) for one in value] if isinstance(value, list) else value
