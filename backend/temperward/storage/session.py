"""One database session per request, and the write lock under which sequence numbers are given."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any

from flask import Flask
from flask_sqlalchemy import SQLAlchemy
from sqlalchemy import Engine, ExceptionContext, Table, bindparam, event, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from temperward.errors import StoreFull
from temperward.storage.models import Base, Shop

BUSY_TIMEOUT_MS = 20_000  # longer than any write of ours; a phone's own request timeout ends first
POSTGRESQL_DISK_FULL = "53100"  # PostgreSQL 16, appendix A
CACHE_KB = 256  # of each connection; the system's own cache holds the file once for all of them
CONNECTIONS = 32  # at most; made when a thread needs one, and kept
LAST_NUMBER = select(Shop.last_seq).where(Shop.shop_id == bindparam("shop_id"))

db = SQLAlchemy(metadata=Base.metadata)


def init_app(app: Flask, *, url: str) -> None:
    """Join the database to the app and set what SQLite needs on every connection."""
    app.config["SQLALCHEMY_DATABASE_URI"] = url
    # Last in, first out: as many connections are kept warm, each with its own cache, as work at a time.
    few = {"pool_size": CONNECTIONS, "pool_use_lifo": True}
    own = few if url.startswith("sqlite") else {"pool_pre_ping": True}
    # What an error says is written down somewhere: it must not hold the words of a log.
    app.config["SQLALCHEMY_ENGINE_OPTIONS"] = {**own, "hide_parameters": True}
    db.init_app(app)
    with app.app_context():
        tell_full_disk(db.engine)
        if db.engine.dialect.name == "sqlite":
            prepare_sqlite(db.engine)


def tell_full_disk(engine: Engine) -> None:
    """Let a database that has no room be told from one that is broken: its owner can help, phones wait."""

    @event.listens_for(engine, "handle_error")
    def _each_error(context: ExceptionContext) -> None:
        error = context.original_exception
        code = getattr(error, "sqlite_errorcode", None)
        if code == sqlite3.SQLITE_FULL or getattr(error, "sqlstate", None) == POSTGRESQL_DISK_FULL:
            raise StoreFull from error


def prepare_sqlite(engine: Engine) -> None:
    """Set the journal, durability, patience and foreign keys of each new connection."""

    @event.listens_for(engine, "connect")
    def _each_connection(connection: Any, _record: Any) -> None:
        cursor = connection.cursor()
        cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}")
        cursor.execute("PRAGMA journal_mode = WAL")
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.execute(f"PRAGMA cache_size = -{CACHE_KB}")
        cursor.close()


def open_session() -> Session:
    """Return the session of the request or command that is running."""
    return db.session()


def is_sqlite(session: Session) -> bool:
    """Tell SQLite from PostgreSQL: the two lock differently."""
    return session.get_bind().dialect.name == "sqlite"


def begin_write(session: Session) -> None:
    """Take SQLite's writer lock now: a read that later turns into a write would fail at once as busy."""
    if is_sqlite(session) and not _in_transaction(session):
        session.connection().exec_driver_sql("BEGIN IMMEDIATE")


def _in_transaction(session: Session) -> bool:
    return bool(session.connection().connection.dbapi_connection.in_transaction)  # type: ignore[union-attr]


def lock_counter(session: Session, *, shop_id: str) -> int:
    """Lock the shop's counter until commit and return the last number given.

    Numbers given under this lock become visible in order: no puller can step over one that is being written.
    """
    begin_write(session)
    found = session.connection().execute(LAST_NUMBER.with_for_update(), {"shop_id": shop_id})
    return int(found.scalar_one())


def last_number(session: Session, *, shop_id: str) -> int:
    """Return the last number given, without a lock: equal again under the lock, nothing came between."""
    return int(session.connection().execute(LAST_NUMBER, {"shop_id": shop_id}).scalar_one())


def insert_rows(
    session: Session,
    table: Table,
    *,
    columns: Sequence[str],
    rows: Sequence[tuple[Any, ...]],
    there: str = "",
) -> None:
    """Insert rows of values in the order of the columns, with no dictionary made of each on the way.

    `there` says what becomes of a row whose key is there already, as both databases word it.
    """
    sign = "?" if is_sqlite(session) else "%s"
    names = ", ".join(table.c[name].name for name in columns)
    signs = ", ".join([sign] * len(columns))
    query = f"INSERT INTO {table.name} ({names}) VALUES ({signs})"  # noqa: S608  (names of ours, no values)
    session.connection().exec_driver_sql(f"{query} ON CONFLICT {there}" if there else query, rows)


def upsert(session: Session, table: Any) -> Any:
    """Return the INSERT that knows ON CONFLICT, in the database's own dialect."""
    return sqlite.insert(table) if is_sqlite(session) else postgresql.insert(table)
