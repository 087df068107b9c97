"""The demo shop, loaded as any phone would bring it: entries through the push, photos part by part."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Protocol

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from temperward.errors import BadBackup
from temperward.services import secrets_made
from temperward.services.joining import LOADING, new_shop
from temperward.services.photos import PART_BYTES, take_part
from temperward.services.sync import MOST_ENTRIES, push
from temperward.storage.models import Device, Shop
from temperward.storage.photo_store import PhotoStore
from temperward.storage.session import begin_write

ORIGIN = "demo"


class WholeShop(Protocol):
    """A shop as the seed data or an exported file gives it."""

    @property
    def name(self) -> str:
        """Return the shop's name."""

    @property
    def zone(self) -> str:
        """Return the shop's time zone."""

    @property
    def entries(self) -> list[dict[str, Any]]:
        """Return all entries."""

    @property
    def photos(self) -> Iterable[bytes]:
        """Return all originals, one after another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """What was loaded, for the line the command prints."""

    shop_id: str
    entries: int
    photos: int


def demo_shop_id(session: Session) -> str | None:
    """Return the newest demo shop, if there is one."""
    query = select(Shop.shop_id).where(Shop.origin == ORIGIN).order_by(Shop.made_ms.desc(), Shop.shop_id)
    return session.scalars(query).first()


def load_shop(
    session: Session,
    *,
    store: PhotoStore,
    shop: WholeShop,
    origin: str,
    now_ms: int,
    shop_id: str | None = None,
    prepare: Callable[[str], None] = lambda _shop_id: None,
    prove: Callable[[str], None] = lambda _shop_id: None,
) -> Loaded:
    """Make a shop and bring everything into it; one refused entry is an error, told with its reason.

    Until all of it is there and proved the shop is only being loaded; what fails is taken away again.
    """
    made = new_shop(session, name=shop.name, zone=shop.zone, origin=LOADING, now_ms=now_ms, shop_id=shop_id)
    shop_id = made.shop_id
    prepare(shop_id)
    device = _loader(shop_id, now_ms=now_ms)
    session.add(device)
    session.commit()
    try:
        bring_entries(session, device=device, entries=shop.entries, now_ms=now_ms)
        photos = 0
        for photos, content in enumerate(shop.photos, start=1):  # noqa: B007  (counts them)
            bring_photo(session, store=store, shop_id=shop_id, content=content, now_ms=now_ms)
        prove(shop_id)
    except BaseException:
        session.rollback()
        take_away(session, store=store, shop_id=shop_id)
        raise
    begin_write(session)
    session.execute(update(Shop).where(Shop.shop_id == shop_id).values(origin=origin))
    session.commit()
    return Loaded(shop_id=shop_id, entries=len(shop.entries), photos=photos)


def take_away(session: Session, *, store: PhotoStore, shop_id: str) -> None:
    """Take away a shop that was only being loaded, with all that came into it."""
    begin_write(session)
    session.execute(delete(Shop).where(Shop.shop_id == shop_id, Shop.origin == LOADING))
    session.commit()
    for name in list(store.names(f"{shop_id}/")):
        store.delete(name)


def _loader(shop_id: str, *, now_ms: int) -> Device:
    """Return the device that brings it all: nobody holds its token, and it is taken back from the start."""
    return Device(
        shop_id=shop_id,
        device_id=secrets_made.new_id(),
        name="loader",
        role="owner",
        token_digest=secrets_made.digest(secrets_made.new_token()),
        joined_ms=now_ms,
        seen_ms=now_ms,
        revoked_ms=now_ms,
    )


def bring_entries(session: Session, *, device: Device, entries: list[dict[str, Any]], now_ms: int) -> None:
    """Push entries in batches, as a phone does."""
    for start in range(0, len(entries), MOST_ENTRIES):
        batch = entries[start : start + MOST_ENTRIES]
        results = push(session, device=device, offered=batch, now_ms=now_ms).results
        refused = [one.as_json() for one in results if one.status == "refused"]
        if refused:
            raise BadBackup("entries_refused", results=refused[:5], count=len(refused))


def bring_photo(session: Session, *, store: PhotoStore, shop_id: str, content: bytes, now_ms: int) -> None:
    """Bring one photo in parts, as a phone does."""
    sha256 = hashlib.sha256(content).hexdigest()
    try:
        for offset in range(0, len(content), PART_BYTES):
            take_part(
                session,
                store=store,
                shop_id=shop_id,
                sha256=sha256,
                offset=offset,
                total=len(content),
                part=content[offset : offset + PART_BYTES],
                now_ms=now_ms,
            )
    except BaseException:
        store.delete_parts(f"{shop_id}/{sha256}")
        raise
