"""A copy of everything, that proves itself: one SQLite file, the photos by hash, and a manifest.

<folder>/database.sqlite3      all tables, whichever database they came from
<folder>/photos/<shop>/<sha>   originals and small copies
<folder>/manifest.json         {format: 1, made_ms, version, tables: {name: {rows, sha256}}, photos: [name],
                                missing: [name]}

Every photo that the database names, and that is not erased, is there or listed as missing. The folder is its
owner's alone, and on the disk before it gets its name.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, insert, select, text, tuple_

from temperward.errors import BadBackup
from temperward.services.digests import digest_of_table
from temperward.services.health import version
from temperward.storage.durable import (
    OWN_FOLDER,
    flush,
    flush_folders,
    new_own_file,
    write_own_file,
)
from temperward.storage.models import Base, Erasure, Photo
from temperward.storage.photo_store import SMALL, PhotoStore

FORMAT = 1
AT_A_TIME = 1000
MOST_NAMED = 10  # photos in one message
DATABASE, PHOTOS, MANIFEST = "database.sqlite3", "photos", "manifest.json"


def make_backup(
    engine: Engine, *, store: PhotoStore, to: Path, now_ms: int, without_missing: bool = False
) -> dict[str, Any]:
    """Write a backup under a temporary name, read it again to prove it, and give it its name.

    A photo whose bytes are not in the store is an error, unless the backup is wanted without it.
    """
    if to.exists():
        raise BadBackup("backup_there", folder=str(to))
    folder = to.with_name(f"{to.name}.{os.getpid()}.new")
    to.parent.mkdir(parents=True, exist_ok=True)
    folder.mkdir(OWN_FOLDER)
    try:
        copy_database(engine, to=folder / DATABASE)
        manifest = _describe(folder, store=store, now_ms=now_ms)
        if not without_missing:
            _check_none_lost(engine, manifest["missing"])
        write_own_file(folder / MANIFEST, json.dumps(manifest, indent=1).encode())
        check_backup(folder)
        flush_folders(folder)
        folder.rename(to)
        flush(to.parent)
    except BaseException:
        shutil.rmtree(folder)
        raise
    return manifest


def _describe(folder: Path, *, store: PhotoStore, now_ms: int) -> dict[str, Any]:
    """Copy the photos that the copied database names, and return the manifest."""
    copied = _open(folder)
    photos, missing = _copy_photos(copied, store=store, to=folder / PHOTOS)
    tables = table_digests(copied)
    copied.dispose()
    return {
        "format": FORMAT,
        "made_ms": now_ms,
        "version": version(),
        "tables": tables,
        "photos": photos,
        "missing": missing,
    }


def _check_none_lost(engine: Engine, missing: list[str]) -> None:
    """Refuse a backup that lacks photos, but for those that were erased while it was made."""
    with engine.connect() as connection:
        erased = erased_photo_names(connection)
    lost = [name for name in missing if name not in erased]
    if lost:
        raise BadBackup("photos_missing", count=len(lost), photos=lost[:MOST_NAMED])


def _open(folder: Path) -> Engine:
    return create_engine(f"sqlite:///{folder / DATABASE}")


def copy_database(engine: Engine, *, to: Path) -> None:
    """Copy a database as it is at one instant, with everything that still lies in its write-ahead log."""
    os.close(new_own_file(to))
    if engine.dialect.name == "sqlite":
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.execute(text("VACUUM INTO :file"), {"file": str(to)})
        flush(to)
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
    flush(to)


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


def photo_names(connection: Connection) -> list[str]:
    """Return the names of the photos that a database holds to be whole and not erased."""
    gone = select(Erasure.shop_id, Erasure.key).where(Erasure.what == "photo")
    query = select(Photo.shop_id, Photo.sha256).where(tuple_(Photo.shop_id, Photo.sha256).not_in(gone))
    found = connection.execute(query.order_by(Photo.shop_id, Photo.sha256))
    return [f"{shop_id}/{sha256}" for shop_id, sha256 in found]


def erased_photo_names(connection: Connection) -> set[str]:
    """Return the names of the photos that stay erased."""
    found = connection.execute(select(Erasure.shop_id, Erasure.key).where(Erasure.what == "photo"))
    return {f"{shop_id}/{sha256}" for shop_id, sha256 in found}


def _copy_photos(copied: Engine, *, store: PhotoStore, to: Path) -> tuple[list[str], list[str]]:
    """Copy the photos the copied database names; return what was copied, and which are not in the store."""
    with copied.connect() as connection:
        wanted = photo_names(connection)
    names, missing = [], []
    for original in wanted:
        for name in (original, original + SMALL):
            content = store.get(name)
            if content is not None:
                for folder in (to, (to / name).parent):
                    folder.mkdir(OWN_FOLDER, exist_ok=True)
                write_own_file(to / name, content)
                names.append(name)
            elif name == original:
                missing.append(name)
    return names, missing


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
    _check_all_named(folder, manifest)
    for name in manifest["photos"]:
        path = folder / PHOTOS / name
        if not path.is_file():
            raise BadBackup("photo_missing", photo=name)
        named = path.name.removesuffix(SMALL)
        if path.name == named and hashlib.sha256(path.read_bytes()).hexdigest() != named:
            raise BadBackup("photo_differs", photo=name)


def _check_all_named(folder: Path, manifest: dict[str, Any]) -> None:
    """Refuse a manifest that says nothing of a photo its database names; older ones listed none missing."""
    if "missing" not in manifest:
        return
    engine = _open(folder)
    with engine.connect() as connection:
        wanted = set(photo_names(connection))
    engine.dispose()
    lost = sorted(wanted.difference(manifest["photos"], manifest["missing"]))
    if lost:
        raise BadBackup("photos_missing", count=len(lost), photos=lost[:MOST_NAMED])
