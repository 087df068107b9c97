"""A message to one device at its own wish, so that somebody sees whether push reaches it."""

from __future__ import annotations

from sqlalchemy.orm import Session

from temperward.delivery.message import Message, tag_of
from temperward.errors import NotHere, PushFailed
from temperward.services.subscriptions import addresses_of, forget, signing_key
from temperward.storage.models import Device

USEFUL_S = 60


def send_test(session: Session, *, device: Device, subject: str, now_ms: int) -> None:
    """Send a test message to every address of one device; none at all is NotHere."""
    from temperward.delivery.web_push import send  # noqa: PLC0415  (25 MB in every web worker otherwise)

    addresses = addresses_of(session, shop_id=device.shop_id, device_id=device.device_id)
    if not addresses or not subject:
        raise NotHere("no_push")
    clock_id = f"test:{device.device_id}"
    payload = {
        "v": 1,
        "tag": tag_of(clock_id),
        "clock_id": clock_id,
        "kind": "test",
        "stage": "reminder",
        "piece_id": None,
        "piece_tag": "",
        "due_ms": now_ms,
        "sent_ms": now_ms,
        "text": {"key": "push.test", "facts": {}},
    }
    message = Message(tag=tag_of(clock_id), payload=payload, useful_s=USEFUL_S)
    key = signing_key(session)
    session.rollback()  # nothing stays open while we wait for the push service
    outcomes = {
        name: send(message, to=one, signing_key=key, subject=subject) for name, one in addresses.items()
    }
    for name, outcome in outcomes.items():
        if outcome == "gone":
            forget(session, shop_id=device.shop_id, endpoint_id=name)
    if "taken" not in outcomes.values():
        raise PushFailed
