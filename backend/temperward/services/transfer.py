"""One shop in one file, out of one server and into another.

    shop.json        {format: 1, name, zone, entries, photos, state_hash, erased: [{what, key, erased_ms}]}
    entries.jsonl    one entry a line, in the order the server took them
    photos/<sha256>  the originals

The state hash is over entries and photos alone; after the import it is the same.
"""

from __future__ import annotations

import json
import os
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from temperward.errors import BadBackup
from temperward.services.demo import Loaded, load_shop
from temperward.services.digests import photo_hashes, state_hash
from temperward.services.erased import is_name
from temperward.storage.models import Entry, Erasure, Shop
from temperward.storage.photo_store import PhotoStore

FORMAT = 1
HEAD, ENTRIES, PHOTOS = "shop.json", "entries.jsonl", "photos/"
LARGEST_MEMBER_BYTES = 2 * 1024**3


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopInFile:
    """A shop as its file holds it."""

    name: str
    zone: str
    entries: list[dict[str, Any]]
    photos: list[bytes]


def export_shop(session: Session, *, store: PhotoStore, shop_id: str, to: Path) -> str:
    """Write one shop into one file and return its state hash."""
    shop = session.get_one(Shop, shop_id)
    texts = list(session.scalars(select(Entry.text).where(Entry.shop_id == shop_id).order_by(Entry.seq)))
    photos = _photos(session, store=store, shop_id=shop_id)
    head = {
        "format": FORMAT,
        "name": shop.name,
        "zone": shop.zone,
        "entries": len(texts),
        "photos": len(photos),
        "state_hash": state_hash(session, shop_id=shop_id),
        "erased": _erased(session, shop_id=shop_id),
    }
    temporary = to.with_name(f"{to.name}.{os.getpid()}.new")
    with zipfile.ZipFile(temporary, "x", zipfile.ZIP_DEFLATED) as file:
        file.writestr(HEAD, json.dumps(head, indent=1))
        file.writestr(ENTRIES, "".join(text + "\n" for text in texts))
        for sha256, content in photos.items():
            file.writestr(PHOTOS + sha256, content, zipfile.ZIP_STORED)
    temporary.replace(to)
    return str(head["state_hash"])


def _photos(session: Session, *, store: PhotoStore, shop_id: str) -> dict[str, bytes]:
    found = {sha256: store.get(f"{shop_id}/{sha256}") for sha256 in photo_hashes(session, shop_id=shop_id)}
    lost = [sha256 for sha256, content in found.items() if content is None]
    if lost:
        raise BadBackup("photo_missing", photos=lost)
    return {sha256: content for sha256, content in found.items() if content is not None}


def _erased(session: Session, *, shop_id: str) -> list[dict[str, Any]]:
    query = select(Erasure.what, Erasure.key, Erasure.erased_ms).where(Erasure.shop_id == shop_id)
    return [dict(row) for row in session.execute(query.order_by(Erasure.what, Erasure.key)).mappings()]


def import_shop(session: Session, *, store: PhotoStore, file: Path, now_ms: int) -> Loaded:
    """Make a new shop from a file, and refuse it when it does not come out as it went in."""
    head, shop = read_shop(file)

    def list_erased(shop_id: str) -> None:
        if head["erased"]:
            session.execute(insert(Erasure), [{**one, "shop_id": shop_id} for one in head["erased"]])

    loaded = load_shop(session, store=store, shop=shop, origin="imported", now_ms=now_ms, prepare=list_erased)
    found = state_hash(session, shop_id=loaded.shop_id)
    if found != head["state_hash"]:
        raise BadBackup("state_hash_differs", found=found, needs=head["state_hash"])
    return loaded


def read_shop(file: Path) -> tuple[dict[str, Any], ShopInFile]:
    """Read a shop's file."""
    try:
        with zipfile.ZipFile(file) as opened:
            if any(one.file_size > LARGEST_MEMBER_BYTES for one in opened.infolist()):
                raise BadBackup("too_big", file=str(file))
            head: dict[str, Any] = json.loads(opened.read(HEAD))
            lines = opened.read(ENTRIES).decode("utf-8").splitlines()
            photos = [opened.read(name) for name in opened.namelist() if name.startswith(PHOTOS)]
    except (OSError, KeyError, ValueError, zipfile.BadZipFile) as error:
        raise BadBackup("not_a_shop", file=str(file)) from error
    if head.get("format") != FORMAT:
        raise BadBackup("unknown_format", found=head.get("format"), needs=FORMAT)
    if not all(is_name(one.get("key"), of=str(one.get("what"))) for one in head["erased"]):
        raise BadBackup("not_a_shop", file=str(file))
    entries = [json.loads(line) for line in lines]
    return head, ShopInFile(name=head["name"], zone=head["zone"], entries=entries, photos=photos)
