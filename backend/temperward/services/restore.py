"""Bringing a backup back: what was erased since stays erased, and every phone hears of a new beginning."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import Any

from sqlalchemy import (
    Connection,
    Engine,
    create_engine,
    delete,
    func,
    insert,
    inspect,
    select,
    text,
    tuple_,
    update,
)
from sqlalchemy.orm import Session

from temperward.errors import BadBackup
from temperward.services.backup import DATABASE, PHOTOS, check_backup, copy_rows, erased_photo_names
from temperward.services.digests import digest_of_table
from temperward.services.erase import apply_erasures
from temperward.services.joining import CLAIM
from temperward.services.photos import adopt_photos, drop_photo
from temperward.services.secrets_made import new_id
from temperward.services.server_facts import EPOCH
from temperward.storage import migrate
from temperward.storage.models import (
    Base,
    Device,
    Entry,
    Erasure,
    JoinCode,
    Log,
    PushSubscription,
    ServerFact,
    Shop,
    WrongTry,
)
from temperward.storage.photo_store import SMALL, PhotoStore

Rows = list[dict[str, Any]]


def restore(engine: Engine, *, store: PhotoStore, folder: Path, replace: bool, now_ms: int) -> dict[str, Any]:
    """Put a backup in the place of what is there, and prove by reading again that it arrived whole.

    A server may be running: it sees what was before or all that is after, in one commit. What was erased and
    who was put out since the backup is carried over in the same commit. Photos come before it, and those that
    were erased go after it; killed in between, nobody is given them.
    """
    manifest = check_backup(folder)
    migrate.upgrade(engine)
    with tempfile.TemporaryDirectory() as scratch:
        source = _newest_shape(folder / DATABASE, scratch=Path(scratch))
        with source.connect() as old:
            with engine.connect() as before:
                _check_empty(before, replace=replace)
                erased = erased_photo_names(before) | erased_photo_names(old)
            _restore_photos(store, folder=folder, names=manifest["photos"], erased=erased)
            with engine.begin() as new:
                _hold_alone(new)
                _check_empty(new, replace=replace)
                _put_in_place(old, new, now_ms=now_ms)
        source.dispose()
    with Session(engine) as session:
        for name in sorted(erased_photo_names(session.connection())):
            shop_id, sha256 = name.split("/")
            drop_photo(store, shop_id=shop_id, sha256=sha256)
        adopt_photos(session, store=store, now_ms=now_ms)
    return manifest


def _put_in_place(old: Connection, new: Connection, *, now_ms: int) -> None:
    erasures = [dict(row) for row in new.execute(select(Erasure)).mappings()]
    put_out = new.execute(
        select(Device.shop_id, Device.device_id, Device.revoked_ms).where(Device.revoked_ms.is_not(None))
    )
    devices = [dict(row) for row in put_out.mappings()]
    _empty(new)
    copy_rows(old, new)
    _prove(old, new)
    _begin_anew(new)
    _merge_erasures(new, kept=erasures)
    _keep_out(new, devices=devices)
    _erase_again(new, now_ms=now_ms)


def _check_empty(connection: Connection, *, replace: bool) -> None:
    if not replace and connection.execute(select(func.count()).select_from(Entry)).scalar_one():
        raise BadBackup(
            "not_empty", entries="there are entries; say --replace to put the backup in their place"
        )


def _hold_alone(connection: Connection) -> None:
    """Let nobody write until the commit; who reads sees what was before."""
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("BEGIN IMMEDIATE")
        return
    names = ", ".join(table.name for table in Base.metadata.sorted_tables)
    connection.execute(text(f"LOCK TABLE {names} IN EXCLUSIVE MODE"))


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
    """Give the database a new epoch: phones pull from the start and offer again all they hold.

    No code of the backup's time lets anybody in: it may have been used since.
    """
    connection.execute(delete(JoinCode))
    connection.execute(delete(WrongTry))
    connection.execute(delete(ServerFact).where(ServerFact.name.in_((EPOCH, CLAIM))))
    connection.execute(insert(ServerFact).values(name=EPOCH, value=new_id()))
    connection.execute(update(Log).values(look_again_ms=0))


def _keep_out(connection: Connection, *, devices: Rows) -> None:
    """Keep out the devices whose token was taken back since the backup, and send them nothing."""
    for device in devices:
        mine = (Device.shop_id == device["shop_id"], Device.device_id == device["device_id"])
        connection.execute(
            update(Device).where(*mine, Device.revoked_ms.is_(None)).values(revoked_ms=device["revoked_ms"])
        )
    out = select(Device.shop_id, Device.device_id).where(Device.revoked_ms.is_not(None))
    theirs = tuple_(PushSubscription.shop_id, PushSubscription.device_id).in_(out)
    connection.execute(delete(PushSubscription).where(theirs))


def _merge_erasures(connection: Connection, *, kept: Rows) -> None:
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


def _restore_photos(store: PhotoStore, *, folder: Path, names: list[str], erased: set[str]) -> None:
    for name in names:
        if name.removesuffix(SMALL) in erased:
            continue
        content = (folder / PHOTOS / name).read_bytes()
        if store.get(name) != content:
            store.put(name, content)


def _erase_again(connection: Connection, *, now_ms: int) -> None:
    """Take out again the words of all that is on the list; nobody else writes, so the counter is ours."""
    with Session(connection) as session:
        for shop_id, last_seq in session.execute(select(Shop.shop_id, Shop.last_seq)).all():
            apply_erasures(session, shop_id=shop_id, last_seq=last_seq, now_ms=now_ms)
        session.commit()
