"""Taking away what a server that fell over, or a phone that never came back, has left behind."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from temperward.services.demo import take_away
from temperward.services.joining import LOADING
from temperward.services.photos import drop_photo
from temperward.storage.models import Erasure, Shop
from temperward.storage.photo_store import PhotoStore

DAY_MS = 24 * 60 * 60 * 1000
PARTS_MS = 14 * DAY_MS  # design: a phone that comes back later begins that photo anew, which loses nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class Tidied:
    """What was taken away."""

    photos: int
    unfinished: int
    shops: int


def tidy(session: Session, *, store: PhotoStore, now_ms: int) -> Tidied:
    """Take away the bytes of erased photos, what nobody went on sending, and shops never all in."""
    photos = _drop_erased(session, store=store)
    unfinished = store.delete_unfinished(before_ms=now_ms - PARTS_MS)
    half = select(Shop.shop_id).where(Shop.origin == LOADING, Shop.made_ms < now_ms - DAY_MS)
    shops = session.scalars(half).all()
    session.rollback()
    for shop_id in shops:
        take_away(session, store=store, shop_id=shop_id)
    return Tidied(photos=photos, unfinished=unfinished, shops=len(shops))


def _drop_erased(session: Session, *, store: PhotoStore) -> int:
    """Take away what lies in the store under an erased photo's name; return how many photos did."""
    erased: dict[str, set[str]] = {}
    for shop_id, sha256 in session.execute(
        select(Erasure.shop_id, Erasure.key).where(Erasure.what == "photo")
    ):
        erased.setdefault(shop_id, set()).add(sha256)
    session.rollback()  # nothing stays open while the store is looked through
    count = 0
    for shop_id, gone in sorted(erased.items()):
        here = {name.rpartition("/")[2].partition(".")[0] for name in store.names(f"{shop_id}/")}
        for sha256 in sorted(here & gone):
            drop_photo(store, shop_id=shop_id, sha256=sha256)
            count += 1
    return count
