"""The same last part of a photo more than once at a time: repeated on its way, or sent by two tabs."""

from __future__ import annotations

import hashlib
import threading
from pathlib import Path

import pytest
from common.phones import PART, Phone, Shop
from common.pictures import jpeg
from flask import Flask

from temperward.errors import WrongOffset
from temperward.services.backup import make_backup
from temperward.services.photos import take_part
from temperward.services.restore import restore
from temperward.storage.photo_store import FolderStore
from temperward.storage.session import db

pytestmark = pytest.mark.usefixtures("both_databases")

AT_ONCE, ROUNDS = 4, 3


def test_the_last_part_many_times_at_once_never_makes_the_server_refuse_the_picture(shop: Shop) -> None:
    """Whoever comes second is told where to go on, or that the picture is whole."""
    said: list[int] = []

    def send(phone: Phone, content: bytes, gate: threading.Barrier) -> None:
        sha256, total = hashlib.sha256(content).hexdigest(), len(content)
        gate.wait()
        answer = phone.put_part(sha256, content[PART:], offset=PART, total=total)
        said.append(answer.status_code)

    for _ in range(ROUNDS):
        content = jpeg(900, 700, quality=92)
        assert PART < len(content) < 2 * PART
        sha256 = hashlib.sha256(content).hexdigest()
        shop.smith.put_part(sha256, content[:PART], offset=0, total=len(content))
        gate = threading.Barrier(AT_ONCE)
        threads = [
            threading.Thread(target=send, args=(phone, content, gate))
            for phone in (shop.smith, shop.owner, shop.smith, shop.owner)
        ]
        for one in threads:
            one.start()
        for one in threads:
            one.join()
        assert shop.smith.client.get(f"/api/photos/{sha256}").data == content
    assert set(said) <= {201, 409}
    assert said.count(201) >= ROUNDS


class BusyFolder(FolderStore):
    """A folder in which another call finishes a photo just as this one puts its parts together."""

    def get_part(self, name: str, *, offset: int, length: int) -> bytes | None:
        self.delete_parts(name)
        return super().get_part(name, offset=offset, length=length)


def test_parts_that_another_call_has_just_put_together_are_no_wrong_picture(
    app: Flask, shop: Shop, tmp_path: Path
) -> None:
    content = jpeg(900, 700, quality=92)
    busy = BusyFolder(tmp_path / "busy")
    photo = {"shop_id": shop.shop_id, "sha256": hashlib.sha256(content).hexdigest(), "now_ms": 1}
    with app.app_context():
        place = {**photo, "store": busy, "total": len(content)}
        take_part(db.session(), **place, offset=0, part=content[:PART])
        with pytest.raises(WrongOffset):
            take_part(db.session(), **place, offset=PART, part=content[PART:])


def test_a_photo_that_came_after_the_backup_is_there_after_the_restore_on_the_same_disk(
    app: Flask, shop: Shop, tmp_path: Path
) -> None:
    """The phone that took it may have given up its own copy, because the server had it."""
    with app.app_context():
        make_backup(db.engine, store=app.config["PHOTO_STORE"], to=tmp_path / "backup", now_ms=1)
    content = jpeg()
    sha256 = hashlib.sha256(content).hexdigest()
    assert shop.smith.put_photo(content).status_code == 201
    with app.app_context():
        store = app.config["PHOTO_STORE"]
        restore(db.engine, store=store, folder=tmp_path / "backup", replace=True, now_ms=2)
    assert shop.smith.client.get(f"/api/photos/{sha256}").data == content
    assert shop.smith.client.get(f"/api/photos/{sha256}?small=1").status_code == 200
