"""The devices of a shop: who is calling, which there are, and taking one's token back."""

from __future__ import annotations

from sqlalchemy import bindparam, delete, func, select, update
from sqlalchemy.orm import Session

from temperward.errors import NotAllowed, NotHere, NotSignedIn, StoreFull
from temperward.services.secrets_made import digest
from temperward.services.server_facts import EPOCH, note_epoch
from temperward.storage.models import Device, PushSubscription, ServerFact, Shop
from temperward.storage.session import begin_write, open_session

SEEN_EVERY_MS = 60 * 60 * 1000  # a device's last visit is kept to the hour: it costs a write
OUR_EPOCH = select(ServerFact.value).where(ServerFact.name == EPOCH).scalar_subquery()
BY_TOKEN = select(Device, OUR_EPOCH.label(EPOCH)).where(
    Device.token_digest == bindparam("token_digest"), Device.revoked_ms.is_(None)
)

__all__ = ["Device", "device_of_token", "devices_of_shop", "note_visit", "open_session", "revoke", "shop_of"]


def device_of_token(session: Session, *, token: str) -> Device:
    """Return the device that holds a token; the shop follows from it and from nothing else.

    The epoch is read in the same breath, before anything is done: were the server restored in the middle of
    a call, the answer would still name the life that the call began in, and the phone offer all again.
    """
    found = session.connection().execute(BY_TOKEN, {"token_digest": digest(token)}).one_or_none()
    if found is None:
        raise NotSignedIn
    values = dict(found._mapping)  # noqa: SLF001  (its public name)
    note_epoch(session, values.pop(EPOCH))
    return Device(**values)  # a value, not watched by the session


def shop_of(session: Session, *, device: Device) -> Shop:
    """Return the shop a device is in."""
    return session.get_one(Shop, device.shop_id)


def devices_of_shop(session: Session, *, shop_id: str) -> list[Device]:
    """Return all devices of a shop, oldest first, also those whose token was taken back."""
    query = select(Device).where(Device.shop_id == shop_id).order_by(Device.joined_ms, Device.device_id)
    return list(session.scalars(query))


def count_signed_in(session: Session) -> int:
    """Return how many devices of all shops hold a token that was not taken back."""
    query = select(func.count()).select_from(Device).where(Device.revoked_ms.is_(None))
    return int(session.execute(query).scalar_one())


def note_visit(session: Session, *, device: Device, now_ms: int) -> None:
    """Remember that a device was here; where there is no room for that, it is served all the same."""
    if now_ms - device.seen_ms < SEEN_EVERY_MS:
        return
    mine = (Device.shop_id == device.shop_id, Device.device_id == device.device_id)
    try:
        begin_write(session)
        session.execute(update(Device).where(*mine).values(seen_ms=now_ms))
        session.commit()
    except StoreFull:  # whoever only reads needs no room; its next call tries again
        session.rollback()


def revoke(session: Session, *, shop_id: str, device_id: str, now_ms: int) -> None:
    """Take a device's token back and forget where it takes push messages; the last owner stays."""
    begin_write(session)
    _lock_owners(session, shop_id=shop_id)
    device = session.get(Device, (shop_id, device_id), with_for_update=True)
    if device is None:
        raise NotHere
    if device.role == "owner" and not _other_owner(session, device=device):
        raise NotAllowed("last_owner")
    device.revoked_ms = device.revoked_ms or now_ms
    session.execute(
        delete(PushSubscription).where(
            PushSubscription.shop_id == shop_id, PushSubscription.device_id == device_id
        )
    )
    session.commit()


def _lock_owners(session: Session, *, shop_id: str) -> None:
    """Hold all owners, in one order: two that put each other out at once would each find the other there."""
    owners = select(Device.device_id).where(Device.shop_id == shop_id, Device.role == "owner")
    session.execute(owners.order_by(Device.device_id).with_for_update()).all()


def _other_owner(session: Session, *, device: Device) -> bool:
    query = select(Device.device_id).where(
        Device.shop_id == device.shop_id,
        Device.device_id != device.device_id,
        Device.role == "owner",
        Device.revoked_ms.is_(None),
    )
    return session.scalars(query.limit(1)).first() is not None
