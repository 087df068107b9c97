"""Bringing a backup back: what was erased since stays erased, and every phone hears of a new beginning."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, delete, func, insert, inspect, select, update
from sqlalchemy.orm import Session

from temperward.errors import BadBackup
from temperward.services.backup import DATABASE, PHOTOS, check_backup, copy_rows
from temperward.services.digests import digest_of_table
from temperward.services.erase import apply_erasures, drop_photo
from temperward.services.photos import adopt_photos
from temperward.services.secrets_made import new_id
from temperward.services.server_facts import EPOCH
from temperward.storage import migrate
from temperward.storage.models import Base, Entry, Erasure, JoinCode, Log, ServerFact, Shop, WrongTry
from temperward.storage.photo_store import PhotoStore


def restore(engine: Engine, *, store: PhotoStore, folder: Path, replace: bool, now_ms: int) -> dict[str, Any]:
    """Put a backup in the place of what is there, and prove by reading again that it arrived whole."""
    manifest = check_backup(folder)
    migrate.upgrade(engine)
    with engine.connect() as connection:
        if not replace and connection.execute(select(func.count()).select_from(Entry)).scalar_one():
            raise BadBackup(
                "not_empty", entries="there are entries; say --replace to put the backup in their place"
            )
        kept = [dict(row) for row in connection.execute(select(Erasure)).mappings()]
    with tempfile.TemporaryDirectory() as scratch:
        source = _newest_shape(folder / DATABASE, scratch=Path(scratch))
        with source.connect() as old, engine.begin() as new:
            _empty(new)
            copy_rows(old, new)
            _prove(old, new)
            _begin_anew(new)
            _merge_erasures(new, kept=kept)
        source.dispose()
    _restore_photos(store, folder=folder, names=manifest["photos"])
    with Session(engine) as session:
        _erase_again(session, store=store, now_ms=now_ms)
        adopt_photos(session, store=store, now_ms=now_ms)
    return manifest


def _newest_shape(database: Path, *, scratch: Path) -> Engine:
    """Return the backup's database in this release's shape; the backup itself is not touched."""
    copy = scratch / DATABASE
    shutil.copyfile(database, copy)
    engine = create_engine(f"sqlite:///{copy}")
    migrate.upgrade(engine)
    missing = set(Base.metadata.tables) - set(inspect(engine).get_table_names())
    if missing:
        raise BadBackup("tables_missing", tables=sorted(missing))
    return engine


def _empty(connection: Connection) -> None:
    for table in reversed(Base.metadata.sorted_tables):
        connection.execute(delete(table))


def _prove(old: Connection, new: Connection) -> None:
    tables = Base.metadata.sorted_tables
    wrong = [table.name for table in tables if digest_of_table(old, table) != digest_of_table(new, table)]
    if wrong:
        raise BadBackup("restored_differs", tables=wrong)


def _begin_anew(connection: Connection) -> None:
    """Give the database a new epoch: phones pull from the start and offer again all they hold."""
    connection.execute(delete(JoinCode))
    connection.execute(delete(WrongTry))
    connection.execute(delete(ServerFact).where(ServerFact.name == EPOCH))
    connection.execute(insert(ServerFact).values(name=EPOCH, value=new_id()))
    connection.execute(update(Log).values(look_again_ms=0))


def _merge_erasures(connection: Connection, *, kept: list[dict[str, Any]]) -> None:
    """Put what was erased since the backup on its list, for the shops that are in it."""
    shops = set(connection.execute(select(Shop.shop_id)).scalars())
    known = {tuple(row) for row in connection.execute(select(Erasure.shop_id, Erasure.what, Erasure.key))}
    missing = [
        row
        for row in kept
        if row["shop_id"] in shops and (row["shop_id"], row["what"], row["key"]) not in known
    ]
    if missing:
        connection.execute(insert(Erasure), missing)


def _restore_photos(store: PhotoStore, *, folder: Path, names: list[str]) -> None:
    for name in names:
        content = (folder / PHOTOS / name).read_bytes()
        if store.get(name) != content:
            store.put(name, content)


def _erase_again(session: Session, *, store: PhotoStore, now_ms: int) -> None:
    for shop_id, last_seq in session.execute(select(Shop.shop_id, Shop.last_seq)).all():
        apply_erasures(session, shop_id=shop_id, last_seq=last_seq, now_ms=now_ms)
    session.commit()
    for shop_id, key in session.execute(select(Erasure.shop_id, Erasure.key).where(Erasure.what == "photo")):
        drop_photo(store, shop_id=shop_id, sha256=key)
