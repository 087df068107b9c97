"""A shop always keeps an owner, also when two put each other out in one moment."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Iterator

import pytest
from common.phones import Phone, Shop, join_as
from flask import Flask
from sqlalchemy import event
from sqlalchemy.orm import Session

pytestmark = pytest.mark.usefixtures("both_databases")


@contextlib.contextmanager
def meeting_before_commit() -> Iterator[None]:
    """Let two writers commit in one moment, where nothing keeps the second from coming so far."""
    gate = threading.Barrier(2)

    def wait(session: Session) -> None:
        del session
        with contextlib.suppress(threading.BrokenBarrierError):  # the other is kept waiting: as it should be
            gate.wait(timeout=1)

    event.listen(Session, "before_commit", wait)
    try:
        yield
    finally:
        event.remove(Session, "before_commit", wait)


def test_two_owners_who_put_each_other_out_at_once_are_not_both_out(app: Flask, shop: Shop) -> None:
    first, second = shop.owner, join_as(app, shop.owner, "owner")
    said: list[int] = []

    def put_out(who: Phone, whom: Phone) -> None:
        said.append(who.client.delete(f"/api/devices/{whom.device_id}").status_code)

    threads = [
        threading.Thread(target=put_out, args=(first, second)),
        threading.Thread(target=put_out, args=(second, first)),
    ]
    with meeting_before_commit():
        for one in threads:
            one.start()
        for one in threads:
            one.join()
    still_in = [one for one in (first, second) if one.client.get("/api/me").status_code == 200]
    assert len(still_in) == 1
    assert said.count(204) == 1
