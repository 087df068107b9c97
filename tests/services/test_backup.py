"""A backup proves itself, comes back whole, and does not bring back what was erased."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
import threading
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from common.logs import entry
from common.phones import PushBrowser, Shop
from common.pictures import jpeg
from flask import Flask
from sqlalchemy import delete

from temperward.app import create_app
from temperward.errors import BadBackup, StoreFull
from temperward.instants import now_ms
from temperward.services import joining
from temperward.services import restore as restore_service
from temperward.services.backup import check_backup, make_backup
from temperward.services.digests import state_hash
from temperward.services.restore import restore
from temperward.services.transfer import export_shop, import_shop
from temperward.settings import read_settings
from temperward.storage.models import Shop as ShopRow
from temperward.storage.photo_store import FolderStore
from temperward.storage.session import db

NOW_MS = 1_792_100_000_000


@pytest.fixture
def backed_up(app: Flask, shop: Shop, tmp_path: Path) -> Path:
    """A backup of a shop with a hundred entries and a photo."""
    shop.smith.sync(*[entry() for _ in range(100)])
    picture = jpeg()
    shop.smith.put_photo(picture)
    shop.smith.client.get(f"/api/photos/{hashlib.sha256(picture).hexdigest()}?small=1")
    folder = tmp_path / "backup"
    with app.app_context():
        make_backup(db.engine, store=app.config["PHOTO_STORE"], to=folder, now_ms=NOW_MS)
    return folder


def bring_back(app: Flask, folder: Path, *, replace: bool = True) -> None:
    with app.app_context():
        restore(db.engine, store=app.config["PHOTO_STORE"], folder=folder, replace=replace, now_ms=NOW_MS)


@pytest.mark.usefixtures("both_databases")
def test_a_backup_holds_what_the_write_ahead_log_still_holds(backed_up: Path) -> None:
    assert check_backup(backed_up)["tables"]["entries"]["rows"] == 100
    assert len(check_backup(backed_up)["photos"]) == 2


@pytest.mark.usefixtures("both_databases")
def test_after_a_restore_phones_pull_anew_and_bring_what_the_backup_lacks(
    app: Flask, shop: Shop, backed_up: Path
) -> None:
    late = [entry() for _ in range(20)]
    before = shop.smith.sync(*late)
    bring_back(app, backed_up)
    after = shop.smith.sync(since=before["next_since"], epoch=before["epoch"])
    assert after["epoch"] != before["epoch"]
    assert len(after["rows"]) == 100
    assert {one["status"] for one in shop.smith.sync(*after["rows"], *late)["results"]} == {"had", "stored"}
    assert len(shop.owner.pull_all()) == 120


@pytest.mark.usefixtures("both_databases")
def test_what_was_erased_after_the_backup_stays_erased(app: Flask, shop: Shop, backed_up: Path) -> None:
    rows = shop.owner.pull_all()
    picture = jpeg(64, 64)
    sha256 = hashlib.sha256(picture).hexdigest()
    shop.smith.put_photo(picture)
    for what, key in (("entry", rows[3]["id"]), ("photo", sha256)):
        assert shop.owner.client.post("/api/erase", json={"what": what, "id": key}).status_code == 200
    bring_back(app, backed_up)
    back = {row["id"]: row for row in shop.owner.pull_all()}
    assert back[rows[3]["id"]]["body"] == {"erased": True}
    assert back[rows[4]["id"]]["body"] == rows[4]["body"]
    answer = shop.smith.sync(rows[3])
    assert answer["results"][0]["status"] == "had"
    shop.smith.put_photo(picture)
    assert shop.smith.client.get(f"/api/photos/{sha256}").status_code == 404


def test_a_restore_brings_the_photos_back(app: Flask, shop: Shop, backed_up: Path) -> None:
    shutil.rmtree(app.config["SETTINGS"].data_dir / "photos")
    bring_back(app, backed_up)
    [name] = [one for one in check_backup(backed_up)["photos"] if not one.endswith(".small")]
    assert shop.smith.client.get(f"/api/photos/{name.rpartition('/')[2]}").status_code == 200


def test_a_restore_does_not_overwrite_unasked(app: Flask, backed_up: Path) -> None:
    with pytest.raises(BadBackup, match="not_empty"):
        bring_back(app, backed_up, replace=False)


def test_a_backup_of_sqlite_comes_back_on_postgresql(
    backed_up: Path, tmp_path: Path, postgresql: Callable[[], str]
) -> None:
    settings = read_settings(data=str(tmp_path / "other"), database_url=postgresql())
    other = create_app(settings)
    with other.app_context():
        restore(db.engine, store=other.config["PHOTO_STORE"], folder=backed_up, replace=False, now_ms=NOW_MS)
        assert db.session().execute(db.text("SELECT count(*) FROM entries")).scalar_one() == 100
        db.session.remove()
        db.engine.dispose()


def lose_a_row(folder: Path) -> None:
    with sqlite3.connect(folder / "database.sqlite3") as connection:
        connection.execute("DELETE FROM entries WHERE seq = 7")
    connection.close()


def change_a_row(folder: Path) -> None:
    with sqlite3.connect(folder / "database.sqlite3") as connection:
        connection.execute("UPDATE entries SET text = replace(text, 'clean', 'dirty') WHERE seq = 7")
    connection.close()


def lose_a_photo(folder: Path) -> None:
    next(one for one in (folder / "photos").glob("*/*") if not one.suffix).unlink()


def change_a_photo(folder: Path) -> None:
    next(one for one in (folder / "photos").glob("*/*") if not one.suffix).write_bytes(jpeg(8, 8))


def lose_the_manifest(folder: Path) -> None:
    (folder / "manifest.json").unlink()


def lose_the_database(folder: Path) -> None:
    (folder / "database.sqlite3").unlink()


DAMAGE = [
    (lose_a_row, "tables_differ"),
    (change_a_row, "tables_differ"),
    (lose_a_photo, "photo_missing"),
    (change_a_photo, "photo_differs"),
    (lose_the_manifest, "no_manifest"),
    (lose_the_database, "no_database"),
]


@pytest.mark.parametrize(("damage", "word"), DAMAGE, ids=[word.__name__ for word, _ in DAMAGE])
def test_a_damaged_backup_is_refused_and_nothing_is_touched(
    app: Flask, shop: Shop, backed_up: Path, damage: Callable[[Path], None], word: str
) -> None:
    damage(backed_up)
    with pytest.raises(BadBackup, match=word):
        bring_back(app, backed_up)
    assert len(shop.owner.pull_all()) == 100


def test_a_backup_that_fails_leaves_nothing_behind(app: Flask, shop: Shop, tmp_path: Path) -> None:
    shop.smith.put_photo(jpeg())
    for photo in (app.config["SETTINGS"].data_dir / "photos").glob("*/*"):
        photo.write_bytes(b"rotten")
    with app.app_context(), pytest.raises(BadBackup, match="photo_differs"):
        make_backup(db.engine, store=app.config["PHOTO_STORE"], to=tmp_path / "backup", now_ms=NOW_MS)
    assert list(tmp_path.glob("backup*")) == []


def kept_photos(app: Flask) -> Path:
    return Path(app.config["SETTINGS"].data_dir / "photos")


@pytest.mark.usefixtures("both_databases")
def test_a_photo_that_is_not_in_the_store_is_named_and_no_copy_is_called_proved(
    app: Flask, shop: Shop, tmp_path: Path
) -> None:
    shop.smith.put_photo(jpeg())
    lost = jpeg(64, 64)
    name = f"{shop.shop_id}/{hashlib.sha256(lost).hexdigest()}"
    shop.smith.put_photo(lost)
    store, to = app.config["PHOTO_STORE"], tmp_path / "backup"
    store.delete(name)
    with app.app_context():
        with pytest.raises(BadBackup, match=f"photos_missing.*{name}"):
            make_backup(db.engine, store=store, to=to, now_ms=NOW_MS)
        made = make_backup(db.engine, store=store, to=to, now_ms=NOW_MS, without_missing=True)
    assert (made["missing"], len(made["photos"])) == ([name], 1)
    bring_back(app, to)
    assert len(shop.owner.pull_all()) == 0


def test_a_store_that_is_set_wrong_is_noticed(app: Flask, shop: Shop, tmp_path: Path) -> None:
    shop.smith.put_photo(jpeg())
    elsewhere = FolderStore(tmp_path / "elsewhere")
    with app.app_context(), pytest.raises(BadBackup, match="photos_missing"):
        make_backup(db.engine, store=elsewhere, to=tmp_path / "backup", now_ms=NOW_MS)
    assert list(tmp_path.glob("backup*")) == []


def test_a_manifest_that_leaves_a_photo_out_is_refused(backed_up: Path) -> None:
    manifest = json.loads((backed_up / "manifest.json").read_text("utf-8"))
    manifest["photos"] = []
    (backed_up / "manifest.json").write_text(json.dumps(manifest), "utf-8")
    with pytest.raises(BadBackup, match="photos_missing"):
        check_backup(backed_up)


@pytest.mark.usefixtures("both_databases")
def test_what_outlived_its_erasure_in_the_store_is_in_no_copy(app: Flask, shop: Shop, tmp_path: Path) -> None:
    picture = jpeg()
    sha256 = hashlib.sha256(picture).hexdigest()
    shop.smith.put_photo(picture)
    assert shop.owner.client.post("/api/erase", json={"what": "photo", "id": sha256}).status_code == 200
    store = app.config["PHOTO_STORE"]
    store.put(f"{shop.shop_id}/{sha256}", picture)
    with app.app_context():
        made = make_backup(db.engine, store=store, to=tmp_path / "backup", now_ms=NOW_MS)
    assert (made["photos"], made["missing"]) == ([], [])


def test_a_copy_is_its_owners_alone_and_on_the_disk_before_it_gets_its_name(
    app: Flask, shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop.smith.sync(entry())
    shop.smith.put_photo(jpeg())
    flushed: list[str] = []
    fsync = os.fsync

    def watched(handle: int) -> None:
        fsync(handle)
        flushed.append(Path(f"/proc/self/fd/{handle}").readlink().name)

    monkeypatch.setattr(os, "fsync", watched)
    before = os.umask(0)
    try:
        with app.app_context():
            store = app.config["PHOTO_STORE"]
            make_backup(db.engine, store=store, to=tmp_path / "backup", now_ms=NOW_MS)
            export_shop(db.session(), store=store, shop_id=shop.shop_id, to=tmp_path / "shop.zip")
    finally:
        os.umask(before)
    inside = list((tmp_path / "backup").rglob("*"))
    for path in [tmp_path / "backup", *inside, tmp_path / "shop.zip"]:
        assert path.stat().st_mode & 0o077 == 0, path
    named = flushed.index(tmp_path.name)  # the folder in which the whole gets its name
    assert {one.name for one in inside} <= set(flushed[:named])
    assert any(name.startswith("backup.") and name.endswith(".new") for name in flushed[:named])


@pytest.mark.usefixtures("both_databases")
def test_a_device_that_was_put_out_stays_out(
    app: Flask, shop: Shop, backed_up: Path, push_browser: PushBrowser
) -> None:
    push_browser.subscribe(shop.smith)
    folder = backed_up.with_name("with the subscription")
    with app.app_context():
        make_backup(db.engine, store=app.config["PHOTO_STORE"], to=folder, now_ms=NOW_MS)
    assert shop.owner.client.delete(f"/api/devices/{shop.smith.device_id}").status_code == 204
    bring_back(app, folder)
    assert shop.smith.client.get("/api/me").status_code == 401
    assert shop.viewer.client.get("/api/me").status_code == 200
    with app.app_context():
        assert db.session().execute(db.text("SELECT count(*) FROM push_subscriptions")).scalar_one() == 0


@pytest.mark.usefixtures("both_databases")
def test_no_code_of_the_backups_time_opens_anything(app: Flask, shop: Shop, tmp_path: Path) -> None:
    with app.app_context():
        claim = joining.make_claim_code(db.session())
    code = shop.owner.client.post("/api/join-codes", json={"role": "owner"}).json["code"]
    with app.app_context():
        make_backup(db.engine, store=app.config["PHOTO_STORE"], to=tmp_path / "backup", now_ms=NOW_MS)
    bring_back(app, tmp_path / "backup")
    shop_wish = {"shop_name": "Stranger", "zone": "Europe/Dublin"}
    for path, one, more in (("/api/claim", claim, shop_wish), ("/api/join", code, {})):
        wish = {"code": one, "device_name": "x", **more}
        assert app.test_client().post(path, json=wish).status_code == 403


@pytest.mark.usefixtures("both_databases")
def test_a_restore_that_finds_no_room_changes_nothing(
    app: Flask, shop: Shop, backed_up: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It used to leave a new epoch behind, under which erased words were given out again."""
    words = shop.owner.pull_all()[3]
    shop.owner.client.post("/api/erase", json={"what": "entry", "id": words["id"]})
    late = entry()
    before = shop.smith.sync(late)
    shutil.rmtree(kept_photos(app))

    def full(*_given: object, **_more: object) -> None:
        raise StoreFull

    monkeypatch.setattr(app.config["PHOTO_STORE"], "put", full)
    with pytest.raises(StoreFull):
        bring_back(app, backed_up)
    after = shop.smith.sync()
    assert after["epoch"] == before["epoch"]
    rows = {row["id"]: row for row in shop.owner.pull_all()}
    assert len(rows) == 101
    assert rows[words["id"]]["body"] == {"erased": True}


@pytest.mark.usefixtures("both_databases")
def test_a_restore_that_is_killed_after_its_commit_gives_nothing_erased_away(
    app: Flask, shop: Shop, backed_up: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = shop.owner.pull_all()[3]
    [original] = [one for one in check_backup(backed_up)["photos"] if not one.endswith(".small")]
    sha256 = original.rpartition("/")[2]
    for what, key in (("entry", words["id"]), ("photo", sha256)):
        assert shop.owner.client.post("/api/erase", json={"what": what, "id": key}).status_code == 200

    def killed(*_given: object, **_more: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("temperward.services.restore.drop_photo", killed)
    with pytest.raises(KeyboardInterrupt):
        bring_back(app, backed_up)
    rows = {row["id"]: row for row in shop.owner.pull_all()}
    assert (len(rows), rows[words["id"]]["body"]) == (100, {"erased": True})
    assert shop.smith.client.get(f"/api/photos/{sha256}").status_code == 404
    assert [one for one in kept_photos(app).rglob("*") if one.is_file()] == []


@pytest.mark.usefixtures("both_databases")
def test_a_phone_that_pushes_while_a_backup_comes_back_waits_and_loses_nothing(
    app: Flask, shop: Shop, backed_up: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    late, old_epoch = entry(), shop.smith.sync()["epoch"]
    halfway, go_on = threading.Event(), threading.Event()
    prove = restore_service._prove  # noqa: SLF001

    def waiting(*given: Any) -> None:
        prove(*given)
        halfway.set()
        assert go_on.wait(60)

    monkeypatch.setattr(restore_service, "_prove", waiting)
    answers: list[dict[str, Any]] = []
    restoring = threading.Thread(target=bring_back, args=[app, backed_up])
    pushing = threading.Thread(target=lambda: answers.append(shop.smith.sync(late)))
    restoring.start()
    assert halfway.wait(60)
    assert len(shop.viewer.pull_all()) == 100  # who only reads does not wait
    assert shop.viewer.sync()["epoch"] == old_epoch
    pushing.start()
    pushing.join(1)
    assert answers == [], "it waits for the restore"
    go_on.set()
    restoring.join(60)
    pushing.join(60)
    assert answers[0]["results"][0]["status"] == "stored"
    rows = shop.owner.pull_all()
    assert len(rows) == len({row["seq"] for row in rows}) == 101
    assert shop.viewer.sync()["epoch"] != old_epoch


@pytest.mark.usefixtures("both_databases")
def test_a_shop_moves_to_another_server_with_the_same_state_hash(
    app: Flask, shop: Shop, tmp_path: Path
) -> None:
    picture = jpeg()
    sha256 = hashlib.sha256(picture).hexdigest()
    shop.smith.sync(*[entry() for _ in range(30)], entry(kind="photo", body={"sha256": sha256}))
    shop.smith.put_photo(picture)
    gone = jpeg(40, 40)
    shop.smith.put_photo(gone)
    for what, key in (("entry", shop.owner.pull_all()[2]["id"]), ("photo", hashlib.sha256(gone).hexdigest())):
        shop.owner.client.post("/api/erase", json={"what": what, "id": key})
    file = tmp_path / "shop.zip"
    with app.app_context():
        exported = export_shop(db.session(), store=app.config["PHOTO_STORE"], shop_id=shop.shop_id, to=file)
        loaded = import_shop(db.session(), store=app.config["PHOTO_STORE"], file=file, now_ms=NOW_MS)
        again = tmp_path / "again.zip"
        assert exported == export_shop(
            db.session(), store=app.config["PHOTO_STORE"], shop_id=loaded.shop_id, to=again
        )
    assert (loaded.entries, loaded.photos) == (31, 1)


@pytest.mark.usefixtures("both_databases")
def test_a_shop_keeps_its_id_where_it_is_free_so_that_its_phones_come_home(
    app: Flask, shop: Shop, tmp_path: Path
) -> None:
    """Its old server is gone. A phone that still holds marks of it joins the new one as what it is."""
    sent, unsent = entry(), entry()
    shop.smith.sync(sent)
    file, store = tmp_path / "shop.zip", app.config["PHOTO_STORE"]
    with app.app_context():
        exported = export_shop(db.session(), store=store, shop_id=shop.shop_id, to=file)
        db.session.execute(delete(ShopRow))
        db.session.commit()
        loaded = import_shop(db.session(), store=store, file=file, now_ms=NOW_MS)
        assert loaded.shop_id == shop.shop_id
        assert state_hash(db.session(), shop_id=loaded.shop_id) == exported
        beside = import_shop(db.session(), store=store, file=file, now_ms=NOW_MS)
        assert beside.shop_id != shop.shop_id, "it is taken now"
        assert state_hash(db.session(), shop_id=beside.shop_id) == exported
        made = joining.make_join_code(db.session(), shop_id=loaded.shop_id, role="smith", now_ms=now_ms())
    assert shop.smith.client.post("/api/sync", json={"entries": []}).status_code == 401
    wish = {"code": made.code, "device_name": "phone", "shop_id": shop.shop_id}
    assert shop.smith.client.post("/api/join", json=wish).status_code == 201
    assert shop.smith.sync(sent, unsent)["results"][0]["status"] == "had"
    assert {row["id"] for row in shop.smith.pull_all()} == {sent["id"], unsent["id"]}


def test_photos_that_outlived_their_database_are_never_at_stake_in_an_import(
    app: Flask, shop: Shop, tmp_path: Path
) -> None:
    picture, store = jpeg(), app.config["PHOTO_STORE"]
    file, damaged = tmp_path / "shop.zip", tmp_path / "damaged.zip"
    shop.smith.sync(entry())
    shop.smith.put_photo(picture)
    with app.app_context():
        export_shop(db.session(), store=store, shop_id=shop.shop_id, to=file)
        with zipfile.ZipFile(file) as old, zipfile.ZipFile(damaged, "w") as new:
            for name in old.namelist():
                new.writestr(name, b"other bytes" if name.startswith("photos/") else old.read(name))
        db.session.execute(delete(ShopRow))
        db.session.commit()
        with pytest.raises(BadBackup, match="photo_differs"):
            import_shop(db.session(), store=store, file=damaged, now_ms=NOW_MS)
        assert store.get(f"{shop.shop_id}/{hashlib.sha256(picture).hexdigest()}") == picture


@pytest.mark.parametrize("named", ["../../etc", "AB" * 16, 7, ["x"]])
def test_a_file_that_names_no_shop_that_could_be_is_refused(
    app: Flask, shop: Shop, tmp_path: Path, named: object
) -> None:
    file, forged = tmp_path / "shop.zip", tmp_path / "forged.zip"
    with app.app_context():
        export_shop(db.session(), store=app.config["PHOTO_STORE"], shop_id=shop.shop_id, to=file)
        with zipfile.ZipFile(file) as old, zipfile.ZipFile(forged, "w") as new:
            new.writestr("shop.json", json.dumps(json.loads(old.read("shop.json")) | {"shop_id": named}))
            new.writestr("entries.jsonl", old.read("entries.jsonl"))
        with pytest.raises(BadBackup, match="not_a_shop"):
            import_shop(db.session(), store=app.config["PHOTO_STORE"], file=forged, now_ms=NOW_MS)


def test_a_file_that_is_no_shop_is_refused(app: Flask, tmp_path: Path) -> None:
    file = tmp_path / "shop.zip"
    file.write_bytes(b"PK no")
    with app.app_context(), pytest.raises(BadBackup, match="not_a_shop"):
        import_shop(db.session(), store=app.config["PHOTO_STORE"], file=file, now_ms=NOW_MS)


@pytest.mark.parametrize(
    ("what", "key"), [("photo", "../../temperward.sqlite3"), ("entry", "ab" * 32), ("shop", "ab" * 32)]
)
def test_a_file_that_says_something_else_was_erased_is_refused(
    app: Flask, shop: Shop, tmp_path: Path, what: str, key: str
) -> None:
    """What stands on that list is taken away again at each restore."""
    file, forged = tmp_path / "shop.zip", tmp_path / "forged.zip"
    with app.app_context():
        export_shop(db.session(), store=app.config["PHOTO_STORE"], shop_id=shop.shop_id, to=file)
        with zipfile.ZipFile(file) as old, zipfile.ZipFile(forged, "w") as new:
            head = json.loads(old.read("shop.json"))
            head["erased"] = [{"what": what, "key": key, "erased_ms": 1}]
            new.writestr("shop.json", json.dumps(head))
            new.writestr("entries.jsonl", old.read("entries.jsonl"))
        with pytest.raises(BadBackup, match="not_a_shop"):
            import_shop(db.session(), store=app.config["PHOTO_STORE"], file=forged, now_ms=NOW_MS)
