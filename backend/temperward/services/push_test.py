"""A message to one device at its own wish, so that somebody sees whether push reaches it."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

from sqlalchemy.orm import Session

from temperward.delivery.message import SEND_LIMIT_S, Message, Sending, tag_of
from temperward.errors import NotHere, PushFailed, TooManyTries
from temperward.services.subscriptions import addresses_of, forget, signing_key
from temperward.storage.models import Device

USEFUL_S = 60
AT_ONCE = 4  # of a process's threads; a push service that is silent holds each for seconds


class _Turns:
    """Whose test messages are under way in this process: few at a time, and one of each device."""

    def __init__(self) -> None:
        self._door = threading.Lock()
        self._busy: set[tuple[str, str]] = set()

    @contextmanager
    def one(self, device: Device) -> Iterator[None]:
        """Hold a turn, or raise TooManyTries."""
        key = device.shop_id, device.device_id
        with self._door:
            if key in self._busy or len(self._busy) >= AT_ONCE:
                raise TooManyTries(retry_after_s=SEND_LIMIT_S)
            self._busy.add(key)
        try:
            yield
        finally:
            with self._door:
                self._busy.discard(key)


TURNS = _Turns()


def send_test(session: Session, *, device: Device, subject: str, allowed: str, now_ms: int) -> None:
    """Send a test message to every address of one device; none at all is NotHere."""
    from temperward.delivery.web_push import send  # noqa: PLC0415  (25 MB in every web worker otherwise)

    addresses = addresses_of(session, shop_id=device.shop_id, device_id=device.device_id)
    if not addresses or not subject:
        raise NotHere("no_push")
    message = test_message(device, now_ms=now_ms)
    by = Sending(subject=subject, signing_key=signing_key(session), allowed=allowed)
    session.rollback()  # nothing stays open while we wait for the push service
    with TURNS.one(device), ThreadPoolExecutor(len(addresses)) as pool:
        sent = {name: pool.submit(send, message, to=one, by=by) for name, one in addresses.items()}
        outcomes = {name: one.result() for name, one in sent.items()}
    for name, outcome in outcomes.items():
        if outcome == "gone":
            forget(session, shop_id=device.shop_id, endpoint_id=name)
    if "taken" not in outcomes.values():
        raise PushFailed


def test_message(device: Device, *, now_ms: int) -> Message:
    """Return the message; its tag is this device's own, so that one test takes the place of another."""
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
    return Message(tag=tag_of(clock_id), payload=payload, useful_s=USEFUL_S)
