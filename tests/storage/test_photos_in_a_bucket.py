"""A whole server whose photos lie in a bucket: brought, fetched, erased, backed up, exported."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from botocore.exceptions import ClientError
from common.logs import entry
from common.phones import Shop
from common.pictures import jpeg
from common.s3_service import PAGE, S3Service
from flask import Flask

from temperward.services.backup import check_backup, make_backup
from temperward.services.restore import restore
from temperward.services.transfer import export_shop, import_shop
from temperward.settings import Settings, read_settings
from temperward.storage.photo_store import open_store
from temperward.storage.session import db

NOW_MS = 1_792_100_000_000


@pytest.fixture
def settings(tmp_path: Path, s3_service: S3Service) -> Settings:
    return read_settings(
        data=str(tmp_path / "data"), photo_store="s3://forge-photos/here", s3_endpoint_url=s3_service.url
    )


def bring(shop: Shop, *, sizes: tuple[int, ...] = (320, 480, 900)) -> list[str]:
    """Bring photos, the last of them in more than one part, each with the entry that names it."""
    names = []
    for width in sizes:
        content = jpeg(width, width, quality=92)
        sha256 = hashlib.sha256(content).hexdigest()
        assert shop.smith.put_photo(content).status_code == 201
        shop.smith.sync(entry(kind="photo", body={"sha256": sha256, "bytes": len(content)}))
        assert shop.owner.client.get(f"/api/photos/{sha256}").data == content
        assert shop.owner.client.get(f"/api/photos/{sha256}?small=1").status_code == 200
        names.append(sha256)
    return names


def test_photos_come_go_and_are_erased(shop: Shop, s3_service: S3Service) -> None:
    names = bring(shop)
    assert not any(".parts/" in key for key in s3_service.objects)
    assert all(key.startswith(f"forge-photos/here/{shop.shop_id}/") for key in s3_service.objects)
    assert shop.owner.client.post("/api/erase", json={"what": "photo", "id": names[0]}).status_code == 200
    assert shop.owner.client.get(f"/api/photos/{names[0]}").status_code == 404
    assert not any(names[0] in key for key in s3_service.objects)
    assert shop.owner.client.get(f"/api/photos/{names[1]}").status_code == 200
    assert s3_service.refused == 0


def test_a_backup_reads_all_pages_of_the_bucket_and_brings_them_back(
    app: Flask, shop: Shop, s3_service: S3Service, tmp_path: Path
) -> None:
    names = bring(shop)
    store = app.config["PHOTO_STORE"]
    with app.app_context():
        make_backup(db.engine, store=store, to=tmp_path / "backup", now_ms=NOW_MS)
        assert len(check_backup(tmp_path / "backup")["photos"]) == 2 * len(names) > PAGE
        s3_service.objects.clear()
        restore(db.engine, store=store, folder=tmp_path / "backup", replace=True, now_ms=NOW_MS)
    for sha256 in names:
        content = shop.owner.client.get(f"/api/photos/{sha256}").data
        assert hashlib.sha256(content).hexdigest() == sha256


def test_a_shop_leaves_in_one_file_and_comes_back_with_its_photos(
    app: Flask, shop: Shop, s3_service: S3Service, tmp_path: Path
) -> None:
    names = bring(shop)
    store, file = app.config["PHOTO_STORE"], tmp_path / "shop.zip"
    with app.app_context():
        export_shop(db.session(), store=store, shop_id=shop.shop_id, to=file)
        s3_service.objects.clear()
        loaded = import_shop(db.session(), store=store, file=file, now_ms=NOW_MS)
    assert loaded.photos == len(names)
    whole = {hashlib.sha256(content).hexdigest() for content in s3_service.objects.values()}
    assert set(names) <= whole
    assert all(loaded.shop_id in key for key in s3_service.objects)


def test_the_names_of_a_shop_come_page_by_page(app: Flask, shop: Shop, s3_service: S3Service) -> None:
    names = bring(shop)
    pages = s3_service.pages
    found = list(app.config["PHOTO_STORE"].names(f"{shop.shop_id}/"))
    assert found == sorted(found)
    assert {name.rpartition("/")[2].split(".")[0] for name in found} == set(names)
    assert s3_service.pages - pages > 1


def test_who_has_another_secret_is_let_near_nothing(
    shop: Shop, s3_service: S3Service, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The proof that the bucket of these tests looks at what is signed."""
    bring(shop, sizes=(320,))
    monkeypatch.setenv("AWS_SECRET_ACCESS_KEY", "guessed")
    monkeypatch.setattr("boto3.DEFAULT_SESSION", None)  # it has read the right one already
    stranger = open_store("s3://forge-photos/here", folder=tmp_path, endpoint_url=s3_service.url)
    for call in (
        lambda: stranger.put("x/y", b"x"),
        lambda: stranger.get("x/y"),
        lambda: list(stranger.names("")),
    ):
        with pytest.raises(ClientError, match="SignatureDoesNotMatch"):
            call()
    assert s3_service.refused == 3
