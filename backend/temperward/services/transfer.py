"""One shop in one file, out of one server and into another: see backend/docs/export_file.md."""

from __future__ import annotations

import hashlib
import json
import os
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from temperward.errors import BadBackup
from temperward.services.demo import Loaded, load_shop
from temperward.services.digests import hash_of, photo_hashes, state_hash
from temperward.services.erased import is_name
from temperward.services.photos import PHOTO_BYTES
from temperward.storage.durable import flush, new_own_file
from temperward.storage.models import Entry, Erasure, Shop
from temperward.storage.photo_store import PhotoStore

FORMAT = 1
HEAD, ENTRIES, PHOTOS = "shop.json", "entries.jsonl", "photos/"
LARGEST_MEMBER_BYTES = 2 * 1024**3


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopInFile:
    """A shop as its file holds it; a photo is read when its turn comes."""

    name: str
    zone: str
    entries: list[dict[str, Any]]
    photos: Iterator[bytes]


def export_shop(session: Session, *, store: PhotoStore, shop_id: str, to: Path) -> str:
    """Write one shop into one file for its owner alone, and return its state hash."""
    shop = session.get_one(Shop, shop_id)
    texts = list(session.scalars(select(Entry.text).where(Entry.shop_id == shop_id).order_by(Entry.seq)))
    photos = photo_hashes(session, shop_id=shop_id)
    head = {
        "format": FORMAT,
        "shop_id": shop_id,
        "name": shop.name,
        "zone": shop.zone,
        "entries": len(texts),
        "photos": len(photos),
        "state_hash": hash_of(texts, photos),
        "erased": _erased(session, shop_id=shop_id),
    }
    temporary = to.with_name(f"{to.name}.{os.getpid()}.new")
    try:
        with os.fdopen(new_own_file(temporary), "w+b") as raw, zipfile.ZipFile(raw, "w") as file:
            _write(file, head=head, texts=texts)
            _write_photos(file, store=store, shop_id=shop_id, photos=photos)
        flush(temporary)
        temporary.replace(to)
        flush(to.parent)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    return str(head["state_hash"])


def _write(file: zipfile.ZipFile, *, head: dict[str, Any], texts: list[str]) -> None:
    file.writestr(HEAD, json.dumps(head, indent=1), zipfile.ZIP_DEFLATED)
    file.writestr(ENTRIES, "".join(text + "\n" for text in texts), zipfile.ZIP_DEFLATED)


def _write_photos(file: zipfile.ZipFile, *, store: PhotoStore, shop_id: str, photos: list[str]) -> None:
    lost = []
    for sha256 in photos:
        content = store.get(f"{shop_id}/{sha256}")
        if content is None:
            lost.append(sha256)
        else:
            file.writestr(PHOTOS + sha256, content)
    if lost:
        raise BadBackup("photo_missing", photos=lost)


def _erased(session: Session, *, shop_id: str) -> list[dict[str, Any]]:
    query = select(Erasure.what, Erasure.key, Erasure.erased_ms).where(Erasure.shop_id == shop_id)
    return [dict(row) for row in session.execute(query.order_by(Erasure.what, Erasure.key)).mappings()]


def import_shop(session: Session, *, store: PhotoStore, file: Path, now_ms: int) -> Loaded:
    """Make a shop from a file; one that does not come out as it went in leaves nothing behind.

    It keeps its id unless that is taken here: phones, which may hold marks that no server has, know it so.
    """
    head, shop = read_shop(file)
    wanted: str | None = head.get("shop_id")
    free = wanted is not None and _is_free(session, store=store, shop_id=wanted)

    def list_erased(shop_id: str) -> None:
        if head["erased"]:
            session.execute(insert(Erasure), [{**one, "shop_id": shop_id} for one in head["erased"]])

    def prove(shop_id: str) -> None:
        found = state_hash(session, shop_id=shop_id)
        if found != head["state_hash"]:
            raise BadBackup("state_hash_differs", found=found, needs=head["state_hash"])

    return load_shop(
        session,
        store=store,
        shop=shop,
        origin="imported",
        now_ms=now_ms,
        shop_id=wanted if free else None,
        prepare=list_erased,
        prove=prove,
    )


def _is_free(session: Session, *, store: PhotoStore, shop_id: str) -> bool:
    """Tell whether nothing is here under an id: a failed import takes away all photos under its own."""
    return session.get(Shop, shop_id) is None and next(store.names(f"{shop_id}/"), None) is None


def read_shop(file: Path) -> tuple[dict[str, Any], ShopInFile]:
    """Read a shop's file, and refuse one that is not what it says before anything is made of it."""
    try:
        with zipfile.ZipFile(file) as opened:
            for one in opened.infolist():
                limit = PHOTO_BYTES if one.filename.startswith(PHOTOS) else LARGEST_MEMBER_BYTES
                if one.file_size > limit:
                    raise BadBackup("too_big", file=str(file), member=one.filename)
            head: dict[str, Any] = json.loads(opened.read(HEAD))
            lines = opened.read(ENTRIES).decode("utf-8").splitlines()
            photos = sorted(name for name in opened.namelist() if name.startswith(PHOTOS))
            _check_head(head, file=file)
            found = hash_of(lines, [name.removeprefix(PHOTOS) for name in photos])
            entries = [json.loads(line) for line in lines]
    except (OSError, KeyError, ValueError, AttributeError, TypeError, zipfile.BadZipFile) as error:
        raise BadBackup("not_a_shop", file=str(file)) from error
    if found != head["state_hash"]:
        raise BadBackup("state_hash_differs", found=found, needs=head["state_hash"])
    return head, ShopInFile(
        name=head["name"], zone=head["zone"], entries=entries, photos=_photos(file, names=photos)
    )


def _check_head(head: dict[str, Any], *, file: Path) -> None:
    if head.get("format") != FORMAT:
        raise BadBackup("unknown_format", found=head.get("format"), needs=FORMAT)
    plain = isinstance(head["name"], str) and isinstance(head["zone"], str) and head["state_hash"]
    named = all(
        is_name(one.get("key"), of=str(one.get("what"))) and type(one.get("erased_ms")) is int
        for one in head["erased"]
    )
    shop_id = head.get("shop_id")  # files of the first releases name none
    if not plain or not named or not (shop_id is None or is_name(shop_id, of="log")):
        raise BadBackup("not_a_shop", file=str(file))


def _photos(file: Path, *, names: list[str]) -> Iterator[bytes]:
    """Give one photo after another, each checked by its name: together they may not fit into memory."""
    with zipfile.ZipFile(file) as opened:
        for name in names:
            content = opened.read(name)
            if hashlib.sha256(content).hexdigest() != name.removeprefix(PHOTOS):
                raise BadBackup("photo_differs", photo=name)
            yield content
