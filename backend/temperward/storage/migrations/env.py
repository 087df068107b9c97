"""What Alembic runs: the engine comes from storage/migrate.py."""

from __future__ import annotations

from alembic import context
from sqlalchemy import Connection

from temperward.errors import BadBackup
from temperward.storage.models import Base


def run(connection: Connection) -> None:
    """Run every step in the transaction that is open: all of them are done, or none."""
    # Batches: SQLite cannot change a column in place.
    context.configure(
        connection=connection, target_metadata=Base.metadata, render_as_batch=True, compare_type=True
    )
    with context.begin_transaction():
        context.run_migrations()


def run_on_sqlite(connection: Connection) -> None:
    """Hold the writer's lock from the first look on: of two servers that start at once, one finds it done.

    A batch makes a table anew and drops the old one. With foreign keys on, that would delete every row that
    points at it, a whole shop with its entries; so they are off (sqlite.org/lang_altertable.html, section 7),
    and all of them are looked at before the commit.
    """
    asked = connection.exec_driver_sql("PRAGMA foreign_keys").scalar_one()
    connection.exec_driver_sql("PRAGMA foreign_keys = OFF")
    connection.exec_driver_sql("BEGIN IMMEDIATE")
    try:
        run(connection)
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
        if broken:
            raise BadBackup("rows_without_their_shop", tables=sorted({str(row[0]) for row in broken}))
        connection.commit()
    finally:
        connection.rollback()
        connection.exec_driver_sql(f"PRAGMA foreign_keys = {asked}")


engine = context.config.attributes["engine"]
with engine.connect() as open_connection:
    if engine.dialect.name == "sqlite":
        run_on_sqlite(open_connection)
    else:
        run(open_connection)
        open_connection.commit()
