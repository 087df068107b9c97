"""Where devices take push messages, and the key pair this server signs them with."""

from __future__ import annotations

import base64
import binascii
import re
from typing import Any
from urllib.parse import urlsplit

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from temperward.delivery.message import Address, is_allowed
from temperward.errors import BadSubscription
from temperward.services.secrets_made import digest
from temperward.services.server_facts import keep_fact, read_fact
from temperward.storage.models import Device, PushSubscription
from temperward.storage.session import begin_write, upsert

SIGNING_KEY = "push_signing_key"
POINT_BYTES = 65  # an uncompressed point of P-256 (RFC 8291, section 3.1)
AUTH_BYTES = 16  # the authentication secret (RFC 8291, section 3.2)
MOST_OF_A_DEVICE = 4  # a browser has one; older ones are what it left behind
# A name with a dot whose last part begins with a letter: what begins with a digit may be read as an address.
HOST = re.compile(r"([a-z0-9]([a-z0-9-]*[a-z0-9])?\.)+[a-z]([a-z0-9-]*[a-z0-9])?")
INSIDE = (".local", ".localhost", ".internal", ".home.arpa")


def push_key(session: Session, *, subject: str) -> dict[str, str | None]:
    """Return the public key, or the reason why there is no push."""
    if not subject:
        return {"public_key": None, "why_not": "no_push_subject"}
    return {"public_key": public_key_text(signing_key(session)), "why_not": None}


def signing_key(session: Session) -> str:
    """Return the private key (32 bytes, base64url), made at first need and the same ever after."""
    return read_fact(session, SIGNING_KEY) or keep_fact(session, SIGNING_KEY, _new_signing_key())


def _new_signing_key() -> str:
    from cryptography.hazmat.primitives.asymmetric import ec  # noqa: PLC0415  (3 MB until somebody wants push)

    number = ec.generate_private_key(ec.SECP256R1()).private_numbers().private_value
    return _base64url(number.to_bytes(32, "big"))


def public_key_text(signing: str) -> str:
    """Return the public half as browsers take it."""
    from cryptography.hazmat.primitives import serialization  # noqa: PLC0415
    from cryptography.hazmat.primitives.asymmetric import ec  # noqa: PLC0415

    private = ec.derive_private_key(int.from_bytes(_bytes(signing), "big"), ec.SECP256R1())
    point = private.public_key().public_bytes(
        serialization.Encoding.X962, serialization.PublicFormat.UncompressedPoint
    )
    return _base64url(point)


def _base64url(content: bytes) -> str:
    return base64.urlsafe_b64encode(content).rstrip(b"=").decode()


def _bytes(text: str) -> bytes:
    padded = text.rstrip("=") + "=" * (-len(text.rstrip("=")) % 4)
    return base64.b64decode(padded.replace("-", "+").replace("_", "/"), validate=True)


def subscribe(wish: dict[str, Any], *, session: Session, device: Device, allowed: str, now_ms: int) -> str:
    """Keep a subscription after looking at its address and keys; of one device the newest few are kept."""
    endpoint, keys = wish["endpoint"], wish["keys"]
    check_endpoint(endpoint, allowed=allowed)
    check_keys(keys)
    begin_write(session)
    row = {
        "shop_id": device.shop_id,
        "endpoint_id": digest(endpoint),
        "device_id": device.device_id,
        "endpoint": endpoint,
        "p256dh": keys["p256dh"],
        "auth": keys["auth"],
        "made_ms": now_ms,
    }
    insert = upsert(session, PushSubscription).values(row)
    session.execute(insert.on_conflict_do_update(index_elements=["shop_id", "endpoint_id"], set_=row))
    _forget_oldest(session, device=device)
    session.commit()
    return digest(endpoint)


def _forget_oldest(session: Session, *, device: Device) -> None:
    mine = (PushSubscription.shop_id == device.shop_id, PushSubscription.device_id == device.device_id)
    newest_first = (PushSubscription.made_ms.desc(), PushSubscription.endpoint_id)
    query = select(PushSubscription.endpoint_id).where(*mine).order_by(*newest_first)
    old = list(session.scalars(query))[MOST_OF_A_DEVICE:]
    session.execute(delete(PushSubscription).where(*mine, PushSubscription.endpoint_id.in_(old)))


def check_endpoint(endpoint: str, *, allowed: str) -> None:
    """Refuse an address this server should never call: all but public https, unless allowed by name.

    What the name means is looked at when a message is sent (`delivery.outward`): it may change.
    """
    if is_allowed(endpoint, allowed=allowed):
        return
    try:
        parts = urlsplit(endpoint)
        host, port = parts.hostname or "", parts.port
    except ValueError as error:
        raise BadSubscription("bad_endpoint") from error
    plain = parts.scheme == "https" and port in (None, 443) and parts.username is None and endpoint.isascii()
    if not plain or not HOST.fullmatch(host) or host.endswith(INSIDE):
        raise BadSubscription("bad_endpoint")


def check_keys(keys: dict[str, str]) -> None:
    """Refuse keys with which no message could be sealed."""
    from cryptography.hazmat.primitives.asymmetric import ec  # noqa: PLC0415

    try:
        point, auth = _bytes(keys["p256dh"]), _bytes(keys["auth"])
        if len(point) != POINT_BYTES or len(auth) != AUTH_BYTES:
            raise BadSubscription("bad_push_keys")
        ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), point)
    except (ValueError, binascii.Error) as error:
        raise BadSubscription("bad_push_keys") from error


def unsubscribe(session: Session, *, device: Device, endpoint: str) -> None:
    """Forget one address of this device."""
    begin_write(session)
    mine = (PushSubscription.shop_id == device.shop_id, PushSubscription.device_id == device.device_id)
    session.execute(delete(PushSubscription).where(*mine, PushSubscription.endpoint_id == digest(endpoint)))
    session.commit()


def addresses_of(session: Session, *, shop_id: str, device_id: str | None = None) -> dict[str, Address]:
    """Return where a shop's devices, or one of them, take push messages, by the address's id."""
    query = select(PushSubscription).where(PushSubscription.shop_id == shop_id)
    if device_id is not None:
        query = query.where(PushSubscription.device_id == device_id)
    rows = session.scalars(query.order_by(PushSubscription.endpoint_id))
    return {row.endpoint_id: Address(endpoint=row.endpoint, p256dh=row.p256dh, auth=row.auth) for row in rows}


def forget(session: Session, *, shop_id: str, endpoint_id: str) -> None:
    """Forget one address that the push service says is gone; the others stay."""
    begin_write(session)
    one = (PushSubscription.shop_id == shop_id, PushSubscription.endpoint_id == endpoint_id)
    session.execute(delete(PushSubscription).where(*one))
    session.commit()
