"""What was left behind is taken away after a while, and nothing else."""

from __future__ import annotations

import hashlib
import time
from pathlib import Path

import pytest
from common.logs import entry
from common.phones import PART, Shop
from common.pictures import jpeg
from flask import Flask

from temperward.services.joining import LOADING, new_shop, only_shop
from temperward.services.tidy import DAY_MS, PARTS_MS, tidy
from temperward.storage.session import db

pytestmark = pytest.mark.usefixtures("both_databases")
NOW_MS = time.time_ns() // 1_000_000


def tidied(app: Flask, *, now_ms: int) -> tuple[int, int, int]:
    with app.app_context():
        done = tidy(db.session(), store=app.config["PHOTO_STORE"], now_ms=now_ms)
    return done.photos, done.unfinished, done.shops


def files(app: Flask) -> list[str]:
    folder: Path = app.config["SETTINGS"].data_dir / "photos"
    return sorted(str(one.relative_to(folder)) for one in folder.rglob("*") if one.is_file())


def test_bytes_that_outlived_their_erasure_go_and_another_shops_stay(
    app: Flask, shop: Shop, other_shop: Shop
) -> None:
    picture = jpeg()
    sha256 = hashlib.sha256(picture).hexdigest()
    for one in (shop, other_shop):
        one.smith.put_photo(picture)
        one.smith.client.get(f"/api/photos/{sha256}?small=1")
    shop.owner.client.post("/api/erase", json={"what": "photo", "id": sha256})
    kept = files(app)
    assert len(kept) == 2
    for name in (sha256, f"{sha256}.small"):
        app.config["PHOTO_STORE"].put(f"{shop.shop_id}/{name}", picture)
    assert tidied(app, now_ms=NOW_MS) == (1, 0, 0)
    assert files(app) == kept
    assert tidied(app, now_ms=NOW_MS) == (0, 0, 0)


def test_parts_stay_for_a_phone_that_may_come_back_and_go_when_it_does_not(app: Flask, shop: Shop) -> None:
    content = jpeg(1600, 1200, quality=90)
    sha256 = hashlib.sha256(content).hexdigest()
    assert shop.smith.put_part(sha256, content[:PART], offset=0, total=len(content)).status_code == 200
    assert tidied(app, now_ms=NOW_MS + PARTS_MS - DAY_MS) == (0, 0, 0)
    assert shop.smith.client.head(f"/api/photos/{sha256}").headers["Upload-Offset"] == str(PART)
    assert tidied(app, now_ms=NOW_MS + PARTS_MS + DAY_MS) == (0, 1, 0)
    assert files(app) == []
    assert shop.smith.put_photo(content).status_code == 201


def test_a_shop_whose_import_was_killed_goes_and_was_never_taken_for_one(app: Flask, shop: Shop) -> None:
    shop.smith.sync(entry())
    with app.app_context():
        session = db.session()
        half = new_shop(session, name="Half", zone="UTC", origin=LOADING, now_ms=NOW_MS).shop_id
        session.commit()
        assert only_shop(session, shop_id=None) == shop.shop_id
    app.config["PHOTO_STORE"].put(f"{half}/{'ab' * 32}", b"picture")
    assert tidied(app, now_ms=NOW_MS) == (0, 0, 0), "it may be on its way"
    assert tidied(app, now_ms=NOW_MS + 2 * DAY_MS) == (0, 0, 1)
    assert files(app) == []
    assert len(shop.owner.pull_all()) == 1
