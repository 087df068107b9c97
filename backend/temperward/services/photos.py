"""Photos by their hash, inside one shop: taken in parts, checked once whole, given back."""

from __future__ import annotations

import hashlib
import io
import threading
from contextlib import nullcontext
from dataclasses import dataclass

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from temperward.errors import NotHere, PhotoRefused, StoreFull, TooBig, WrongHash, WrongOffset
from temperward.services.envelope import SHA256
from temperward.services.erased import PHOTO_ERASED, erased_keys, is_photo_erased
from temperward.services.photo_check import Picture, check_picture, is_whole_jpeg, small_copy
from temperward.storage.models import Photo, Shop
from temperward.storage.photo_store import SMALL, PhotoStore, open_store
from temperward.storage.session import insert_rows
from temperward.storage.together import write_together

PART_BYTES = 256 * 1024
PHOTO_BYTES = 6 * 1024 * 1024
LARGE_BYTES = 1024 * 1024  # design: above that one after the other, so that memory has a limit, not sixteen
LARGE_ONE = threading.Lock()
PHOTOS = Photo.metadata.tables["photos"]
COLUMNS = ("shop_id", "sha256", "length_bytes", "media_type", "width_px", "height_px", "stored_ms")
LENGTH = select(PHOTOS.c.length_bytes).where(
    PHOTOS.c.shop_id == bindparam("shop_id"), PHOTOS.c.sha256 == bindparam("sha256")
)
# In one look, when a part comes: the photo's length if it is whole, and whether it is erased.
STANDING = select(LENGTH.scalar_subquery().label("length"), PHOTO_ERASED.exists().label("erased"))
# Erased and its bytes still here, because the server fell over in between: nobody is given them.
MEDIA_TYPE = select(PHOTOS.c.media_type).where(
    PHOTOS.c.shop_id == bindparam("shop_id"), PHOTOS.c.sha256 == bindparam("sha256"), ~PHOTO_ERASED.exists()
)

__all__ = ["PhotoStore", "Progress", "open_store", "photo_bytes", "photo_progress", "take_part"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How much of a photo is here."""

    sha256: str
    offset: int
    complete: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoBytes:
    """A photo, or its small copy, to be sent."""

    content: bytes
    media_type: str
    tag: str


def _name(*, shop_id: str, sha256: str) -> str:
    if not SHA256.fullmatch(sha256):
        raise NotHere
    return f"{shop_id}/{sha256}"


def photo_progress(session: Session, *, store: PhotoStore, shop_id: str, sha256: str) -> Progress:
    """Say how much of a photo is here; nothing at all is NotHere."""
    name = _name(shop_id=shop_id, sha256=sha256)
    whole_bytes = _whole_bytes(session, shop_id=shop_id, sha256=sha256)
    if whole_bytes is not None:
        return Progress(sha256=sha256, offset=whole_bytes, complete=True)
    offset = _offset(store, name)
    if offset == 0:
        raise NotHere
    return Progress(sha256=sha256, offset=offset, complete=False)


def _whole_bytes(session: Session, *, shop_id: str, sha256: str) -> int | None:
    """Return the length of a photo that is whole in the store."""
    found = session.connection().execute(LENGTH, {"shop_id": shop_id, "sha256": sha256}).scalar()
    return None if found is None else int(found)


def _chain(store: PhotoStore, name: str) -> list[tuple[int, int]]:
    """Return the parts that follow each other without a gap.

    A call that was cut short and comes to its end late can put a shorter part in the place of a whole one;
    what then lies across the new parts belongs to no chain.
    """
    chain, end = [], 0
    for offset, length in store.parts(name):
        if offset == end:
            chain.append((offset, length))
            end += length
    return chain


def _length(chain: list[tuple[int, int]]) -> int:
    return sum(length for _at, length in chain)


def _offset(store: PhotoStore, name: str) -> int:
    """Return how many bytes are here without a gap."""
    return _length(_chain(store, name))


def take_part(
    session: Session,
    *,
    store: PhotoStore,
    shop_id: str,
    sha256: str,
    offset: int,
    total: int,
    part: bytes,
    now_ms: int,
) -> Progress:
    """Take the next part of a photo; with the last one, check the whole and keep it."""
    name = _name(shop_id=shop_id, sha256=sha256)
    whole_bytes, erased = session.connection().execute(STANDING, {"shop_id": shop_id, "sha256": sha256}).one()
    if whole_bytes is not None:
        return Progress(sha256=sha256, offset=whole_bytes, complete=True)
    _check_part(offset=offset, total=total, part=part)
    chain = _chain(store, name)
    here = _length(chain)
    if offset != here:
        raise WrongOffset(offset=here)
    if offset + len(part) < total:
        store.put_part(name, offset=offset, content=part)
        return Progress(sha256=sha256, offset=offset + len(part), complete=False)
    with LARGE_ONE if total > LARGE_BYTES else nullcontext():
        content = _whole(store, name=name, chain=chain, part=part)
        picture = _checked(content, store=store, name=name, sha256=sha256)
        if not erased:
            store.put(name, content)
        del content
    erased = _keep_row(session, shop_id=shop_id, sha256=sha256, picture=picture, length=total, now_ms=now_ms)
    if erased:  # perhaps since we asked
        drop_photo(store, shop_id=shop_id, sha256=sha256)
    store.delete_parts(name)
    return Progress(sha256=sha256, offset=total, complete=True)


def _whole(store: PhotoStore, *, name: str, chain: list[tuple[int, int]], part: bytes) -> bytes:
    """Put the parts together; the last part may have come twice, and the other call have taken them away.

    Each part is let go of once it is in its place: a whole of 6 MB is in memory once, not three times.
    """
    whole = io.BytesIO()
    for at, length in chain:
        whole.write(store.get_part(name, offset=at, length=length) or b"")
    if whole.tell() != _length(chain):
        raise WrongOffset(offset=_offset(store, name))
    whole.write(part)
    return whole.getvalue()


def _check_part(*, offset: int, total: int, part: bytes) -> None:
    if total > PHOTO_BYTES:
        raise TooBig("photo_too_big", value=total, high=PHOTO_BYTES, unit="bytes")
    if len(part) > PART_BYTES:
        raise TooBig("part_too_big", value=len(part), high=PART_BYTES, unit="bytes")
    if not part or offset + len(part) > total:
        raise WrongOffset("wrong_length", value=offset + len(part), high=total, unit="bytes")


def _checked(content: bytes, *, store: PhotoStore, name: str, sha256: str) -> Picture:
    """Check hash and picture; a photo that is refused leaves nothing behind."""
    try:
        _check_hash(content, sha256=sha256)
        return check_picture(content)
    except (PhotoRefused, TooBig):
        store.delete_parts(name)
        raise


def _check_hash(content: bytes, *, sha256: str) -> None:
    if hashlib.sha256(content).hexdigest() != sha256:
        raise WrongHash


def _keep_row(
    session: Session, *, shop_id: str, sha256: str, picture: Picture, length: int, now_ms: int
) -> bool:
    """Write the row that says the photo is whole, and tell whether the photo is erased.

    Two phones may bring the same one at once. Who erases it after we asked here finds the bytes in place.
    """
    row = (shop_id, sha256, length, picture.media_type, picture.width_px, picture.height_px, now_ms)

    def write(together: Session) -> bool:
        insert_rows(together, PHOTOS, columns=COLUMNS, rows=[row], there="DO NOTHING")
        return is_photo_erased(together, shop_id=shop_id, sha256=sha256)

    return write_together(session, write)


def drop_photo(store: PhotoStore, *, shop_id: str, sha256: str) -> None:
    """Take a photo's bytes away, with its small copy and whatever part of it was under way."""
    name = _name(shop_id=shop_id, sha256=sha256)
    store.delete(name)
    store.delete(name + SMALL)
    store.delete_parts(name)


def adopt_photos(session: Session, *, store: PhotoStore, now_ms: int) -> int:
    """Take over photos that lie in the store and that no row names, after an older database has come back.

    The phones that brought them may have given up their own copies since. Returns how many.
    """
    rows = {(row.shop_id, row.sha256) for row in session.execute(select(Photo.shop_id, Photo.sha256))}
    count = 0
    for shop_id in session.scalars(select(Shop.shop_id)).all():
        erased = erased_keys(session, shop_id=shop_id).photos
        for name in store.names(f"{shop_id}/"):
            sha256 = name.rpartition("/")[2]
            if not SHA256.fullmatch(sha256) or (shop_id, sha256) in rows or sha256 in erased:
                continue
            count += _adopt(session, store=store, shop_id=shop_id, sha256=sha256, now_ms=now_ms)
    return count


def _adopt(session: Session, *, store: PhotoStore, shop_id: str, sha256: str, now_ms: int) -> int:
    """Give one photo its row again; bytes that are not what their name says stay without one."""
    name = _name(shop_id=shop_id, sha256=sha256)
    content = store.get(name)
    if content is None or hashlib.sha256(content).hexdigest() != sha256:
        return 0
    try:
        picture = check_picture(content)
    except (PhotoRefused, TooBig):  # from a time of other rules
        return 0
    _keep_row(session, shop_id=shop_id, sha256=sha256, picture=picture, length=len(content), now_ms=now_ms)
    return 1


def photo_bytes(session: Session, *, store: PhotoStore, shop_id: str, sha256: str, small: bool) -> PhotoBytes:
    """Return a photo or its small copy."""
    name = _name(shop_id=shop_id, sha256=sha256)
    found = session.connection().execute(MEDIA_TYPE, {"shop_id": shop_id, "sha256": sha256}).scalar()
    if found is None:
        raise NotHere
    if small:
        content = _small_bytes(session, store=store, shop_id=shop_id, sha256=sha256)
        return PhotoBytes(content=content, media_type="image/jpeg", tag=f"{sha256}-small")
    return PhotoBytes(content=_original(store, name), media_type=str(found), tag=sha256)


def _original(store: PhotoStore, name: str) -> bytes:
    content = store.get(name)
    if content is None:
        raise NotHere
    return content


def _small_bytes(session: Session, *, store: PhotoStore, shop_id: str, sha256: str) -> bytes:
    """Return the small copy, made when first asked for: whoever sends a photo need not wait for it.

    One that a power cut has torn is made again.
    """
    name = _name(shop_id=shop_id, sha256=sha256)
    kept = store.get(name + SMALL)
    if kept is not None and is_whole_jpeg(kept):
        return kept
    original = _original(store, name)
    with LARGE_ONE if len(original) > LARGE_BYTES else nullcontext():
        made = small_copy(original)
    try:
        store.put(name + SMALL, made, durable=False)
    except StoreFull:  # then it is made anew each time
        return made
    if is_photo_erased(session, shop_id=shop_id, sha256=sha256):  # perhaps since we asked
        drop_photo(store, shop_id=shop_id, sha256=sha256)
        raise NotHere
    return made
