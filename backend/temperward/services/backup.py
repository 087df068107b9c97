"""A copy of everything, that proves itself: one SQLite file, the photos by hash, and a manifest.

<folder>/database.sqlite3      all tables, whichever database they came from
<folder>/photos/<shop>/<sha>   originals and small copies
<folder>/manifest.json         {format: 1, made_ms, version, tables: {name: {rows, sha256}}, photos: [name]}
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, insert, select, text

from temperward.errors import BadBackup
from temperward.services.digests import digest_of_table
from temperward.services.health import version
from temperward.storage.models import Base, Photo
from temperward.storage.photo_store import SMALL, PhotoStore

FORMAT = 1
AT_A_TIME = 1000
DATABASE, PHOTOS, MANIFEST = "database.sqlite3", "photos", "manifest.json"


def make_backup(engine: Engine, *, store: PhotoStore, to: Path, now_ms: int) -> dict[str, Any]:
    """Write a backup under a temporary name, read it again to prove it, and give it its name."""
    if to.exists():
        raise BadBackup("backup_there", folder=str(to))
    folder = to.with_name(f"{to.name}.{os.getpid()}.new")
    folder.mkdir(parents=True)
    try:
        copy_database(engine, to=folder / DATABASE)
        manifest = _describe(folder, store=store, now_ms=now_ms)
        (folder / MANIFEST).write_text(json.dumps(manifest, indent=1), "utf-8")
        check_backup(folder)
        folder.rename(to)
    except BaseException:
        shutil.rmtree(folder)
        raise
    return manifest


def _describe(folder: Path, *, store: PhotoStore, now_ms: int) -> dict[str, Any]:
    """Copy the photos that the copied database names, and return the manifest."""
    copied = _open(folder)
    photos = _copy_photos(copied, store=store, to=folder / PHOTOS)
    tables = table_digests(copied)
    copied.dispose()
    return {"format": FORMAT, "made_ms": now_ms, "version": version(), "tables": tables, "photos": photos}


def _open(folder: Path) -> Engine:
    return create_engine(f"sqlite:///{folder / DATABASE}")


def copy_database(engine: Engine, *, to: Path) -> None:
    """Copy a database as it is at one instant, with everything that still lies in its write-ahead log."""
    if engine.dialect.name == "sqlite":
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.execute(text("VACUUM INTO :file"), {"file": str(to)})
        return
    copy = create_engine(f"sqlite:///{to}")
    with (
        engine.connect().execution_options(isolation_level="REPEATABLE READ") as source,
        copy.begin() as target,
    ):
        Base.metadata.create_all(target)
        revision = source.execute(text("SELECT version_num FROM alembic_version")).scalar_one()
        target.execute(text("CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL PRIMARY KEY)"))
        target.execute(text("INSERT INTO alembic_version VALUES (:one)"), {"one": revision})
        copy_rows(source, target)
    copy.dispose()


def copy_rows(source: Connection, target: Connection) -> None:
    """Copy every row of every table, parents first."""
    for table in Base.metadata.sorted_tables:
        rows = source.execute(select(table)).mappings()
        while page := rows.fetchmany(AT_A_TIME):
            target.execute(insert(table), [dict(row) for row in page])


def table_digests(engine: Engine) -> dict[str, dict[str, int | str]]:
    """Return rows and digest of every table."""
    with engine.connect() as connection:
        return {table.name: digest_of_table(connection, table) for table in Base.metadata.sorted_tables}


def _copy_photos(copied: Engine, *, store: PhotoStore, to: Path) -> list[str]:
    """Copy the photos the copied database names; one that was erased meanwhile is not missed."""
    with copied.connect() as connection:
        wanted = connection.execute(
            select(Photo.shop_id, Photo.sha256).order_by(Photo.shop_id, Photo.sha256)
        ).all()
    names = []
    for shop_id, sha256 in wanted:
        for name in (f"{shop_id}/{sha256}", f"{shop_id}/{sha256}{SMALL}"):
            content = store.get(name)
            if content is not None:
                (to / name).parent.mkdir(parents=True, exist_ok=True)
                (to / name).write_bytes(content)
                names.append(name)
    return names


def check_backup(folder: Path) -> dict[str, Any]:
    """Read a backup again from the first row to the last photo, and refuse one that is not what it says."""
    try:
        manifest: dict[str, Any] = json.loads((folder / MANIFEST).read_text("utf-8"))
    except (OSError, ValueError) as error:
        raise BadBackup("no_manifest", folder=str(folder)) from error
    if manifest.get("format") != FORMAT:
        raise BadBackup("unknown_format", found=manifest.get("format"), needs=FORMAT)
    _check_tables(folder, manifest)
    _check_photos(folder, manifest)
    return manifest


def _check_tables(folder: Path, manifest: dict[str, Any]) -> None:
    if not (folder / DATABASE).is_file():
        raise BadBackup("no_database", folder=str(folder))
    engine = _open(folder)
    with engine.connect() as connection:
        sound = connection.execute(text("PRAGMA integrity_check")).scalar_one()
    found = table_digests(engine)
    engine.dispose()
    wrong = sorted(name for name in found if found[name] != manifest["tables"].get(name))
    if sound != "ok" or wrong:
        raise BadBackup("tables_differ", tables=wrong, integrity=sound)


def _check_photos(folder: Path, manifest: dict[str, Any]) -> None:
    for name in manifest["photos"]:
        path = folder / PHOTOS / name
        if not path.is_file():
            raise BadBackup("photo_missing", photo=name)
        named = path.name.removesuffix(SMALL)
        if path.name == named and hashlib.sha256(path.read_bytes()).hexdigest() != named:
            raise BadBackup("photo_differs", photo=name)
