"""Looking after the data as a person at the desk does, or cron: no empty copy, no half shop, nothing rash."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
import zipfile
from contextlib import closing
from pathlib import Path

import pytest
from common.logs import entry
from common.phones import Shop
from common.pictures import jpeg
from flask import Flask

from temperward.services.transfer import export_shop
from temperward.storage.session import db

TEMPERWARD = Path(sys.executable).with_name("temperward")
BACKUP = Path(__file__).parents[2] / "deploy" / "backup.sh"
NO_WORD = {"PATH": "/usr/bin:/bin"}  # as cron gives it


def run(*words: str, cwd: Path, said: str = "", **env: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        words, input=said, capture_output=True, text=True, check=False, cwd=cwd, env={**NO_WORD, **env}
    )


@pytest.mark.parametrize(
    "words",
    [
        ["backup", "copy"],
        ["export", "shop.zip"],
        ["erase", "--yes", "log", "0192a000-0000-7000-8000-000000000000"],
        ["claim-code"],
        ["join-code"],
        ["remind", "--once"],
        ["tidy"],
    ],
    ids=lambda words: words[0],
)
def test_a_command_that_looks_after_data_makes_no_empty_database(tmp_path: Path, words: list[str]) -> None:
    done = run(str(TEMPERWARD), *words, "--data", "typo", cwd=tmp_path)
    assert (done.returncode, done.stderr.split()[1]) == (1, "no_database"), done.stderr
    assert f"{tmp_path}/typo/temperward.sqlite3" in done.stderr
    assert "--data FOLDER" in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """The data folder of a server with the demo shop."""
    made = run(str(TEMPERWARD), "demo", "--data", str(tmp_path / "data"), cwd=tmp_path)
    assert made.returncode == 0, made.stderr
    return tmp_path / "data"


def test_cron_gets_a_proved_copy_of_the_servers_data_and_nothing_else(data: Path, tmp_path: Path) -> None:
    settings = tmp_path / "environment"
    settings.write_text(
        f"# a line\n\nTEMPERWARD_DATA=\"{data}\"\nTEMPERWARD_X='a b'; $(touch bad)\nbad line\n"
    )
    env = {"TEMPERWARD_ENVIRONMENT": str(settings), "TEMPERWARD_PROGRAM": str(TEMPERWARD)}
    copies = tmp_path / "all copies"
    old = [copies / f"2026-01-{day:02}" for day in range(1, 20)]
    for one in [*old, copies / "keep"]:
        one.mkdir(parents=True)
    left = copies / "2026-01-19.77.new"
    left.mkdir()
    os.utime(left, (0, 0))
    done = run(str(BACKUP), str(copies), cwd=tmp_path, **env)
    assert (done.returncode, done.stderr) == (0, ""), done.stderr
    with closing(sqlite3.connect(data / "temperward.sqlite3")) as database:
        [[count]] = database.execute("SELECT COUNT(*) FROM entries")
    assert count > 0
    assert f"{count} entries" in done.stdout
    assert "proved" in done.stdout
    kept = sorted(one.name for one in copies.iterdir())
    assert (len(kept), kept[0], kept[-1], left.name in kept) == (15, old[6].name, "keep", False)
    assert not (tmp_path / "bad").exists()
    assert run(str(BACKUP), str(copies), cwd=tmp_path, **env).returncode == 1, "the same day again"
    assert sorted(one.name for one in copies.iterdir()) == kept


@pytest.mark.parametrize("written", [None, "TEMPERWARD_PROXIES=1\n", "TEMPERWARD_DATA=/nowhere/at/all\n"])
def test_cron_hears_of_settings_that_lead_to_no_data(tmp_path: Path, written: str | None) -> None:
    settings = tmp_path / "environment"
    if written is not None:
        settings.write_text(written)
    env = {"TEMPERWARD_ENVIRONMENT": str(settings), "TEMPERWARD_PROGRAM": str(TEMPERWARD)}
    done = run(str(BACKUP), str(tmp_path / "copies"), cwd=tmp_path, **env)
    assert done.returncode == 1
    assert "no_database" in done.stderr or "neither" in done.stderr
    assert [one for one in tmp_path.rglob("*") if one.suffix == ".sqlite3"] == []


@pytest.mark.parametrize(("answer", "said"), [("n\n", "Aborted"), ("y\n", "erased: 1 entries, 1 photos")])
def test_a_person_at_the_desk_sees_what_goes_and_is_asked(
    app: Flask, shop: Shop, tmp_path: Path, answer: str, said: str
) -> None:
    picture = jpeg()
    [sha256] = [shop.smith.put_photo(picture).json["sha256"]]
    one = entry(kind="photo", body={"sha256": sha256, "text": "Mary's hand"})
    shop.smith.sync(one)
    data = str(app.config["SETTINGS"].data_dir)
    done = run(str(TEMPERWARD), "erase", "--data", data, "entry", one["id"], cwd=tmp_path, said=answer)
    assert "piece photo  MO  Mary's hand" in done.stdout
    assert f"photo {sha256}" in done.stdout
    assert said in done.stdout + done.stderr
    gone = answer == "y\n"
    assert (shop.owner.pull_all()[0]["body"] == {"erased": True}) is gone
    assert (shop.owner.client.get(f"/api/photos/{sha256}").status_code == 404) is gone


def test_erasing_what_is_not_there_is_told(data: Path, tmp_path: Path) -> None:
    for name in ("0192a000-0000-7000-8000-000000000000", "../../x"):
        done = run(str(TEMPERWARD), "erase", "--yes", "--data", str(data), "log", name, cwd=tmp_path)
        assert (done.returncode, done.stderr.split()[1]) == (1, "not_here")


def forged(app: Flask, shop: Shop, to: Path, *, change: tuple[str, bytes]) -> Path:
    """Return an exported file in which some members are other ones."""
    file = to / "shop.zip"
    with app.app_context():
        export_shop(db.session(), store=app.config["PHOTO_STORE"], shop_id=shop.shop_id, to=file)
    with zipfile.ZipFile(file) as old, zipfile.ZipFile(to / "forged.zip", "w") as new:
        for name in old.namelist():
            new.writestr(name, change[1] if name.startswith(change[0]) else old.read(name))
    return to / "forged.zip"


def shops(app: Flask) -> int:
    with app.app_context():
        return int(db.session().execute(db.text("SELECT count(*) FROM shops")).scalar_one())


FORGED = [
    (("entries", b""), "state_hash_differs"),
    (("entries", json.dumps(entry(device_id="")).encode() + b"\n"), "state_hash_differs"),
    (("photos", b"no picture"), "photo_differs"),
    (("shop", b"[]"), "not_a_shop"),
    (("shop", b"{}"), "unknown_format"),
]


@pytest.mark.usefixtures("both_databases")
@pytest.mark.parametrize(("change", "word"), FORGED)
def test_a_file_that_is_refused_leaves_no_shop_behind(
    app: Flask, shop: Shop, tmp_path: Path, change: tuple[str, bytes], word: str
) -> None:
    shop.smith.sync(entry(), entry())
    shop.smith.put_photo(jpeg())
    file = forged(app, shop, tmp_path, change=change)
    before = sorted(
        path for path in (app.config["SETTINGS"].data_dir / "photos").rglob("*") if path.is_file()
    )
    url = app.config["SETTINGS"].database_url
    env = {"TEMPERWARD_DATABASE_URL": url, "TEMPERWARD_DATA": str(app.config["SETTINGS"].data_dir)}
    done = run(str(TEMPERWARD), "import", str(file), cwd=tmp_path, **env)
    assert (done.returncode, done.stderr.split()[1]) == (1, word), done.stderr
    assert shops(app) == 1
    assert before == sorted(
        path for path in (app.config["SETTINGS"].data_dir / "photos").rglob("*") if path.is_file()
    )


@pytest.mark.usefixtures("both_databases")
def test_an_import_that_fails_on_its_way_leaves_no_shop_behind(
    app: Flask, shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The entries are in, the first photo is in, and there is no room for the second."""
    from temperward.errors import StoreFull  # noqa: PLC0415
    from temperward.services.transfer import import_shop  # noqa: PLC0415

    shop.smith.sync(entry(), entry())
    for width in (40, 50):
        shop.smith.put_photo(jpeg(width, 40))
    store, file = app.config["PHOTO_STORE"], tmp_path / "shop.zip"
    put, count = store.put, 0

    def filling(name: str, content: bytes, **more: bool) -> None:
        nonlocal count
        count += 1
        if count > 1:
            raise StoreFull
        put(name, content, **more)

    with app.app_context():
        export_shop(db.session(), store=store, shop_id=shop.shop_id, to=file)
        monkeypatch.setattr(store, "put", filling)
        with pytest.raises(StoreFull):
            import_shop(db.session(), store=store, file=file, now_ms=1_792_100_000_000)
        folders = [one.name for one in store.folder.iterdir() if list(one.rglob("*"))]
    assert shops(app) == 1
    assert folders == [shop.shop_id]
