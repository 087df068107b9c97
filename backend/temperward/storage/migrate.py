"""Bringing a database to this release's shape, and back."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, text

from temperward.errors import BadSettings

NEEDED = "a server's own: --data FOLDER, TEMPERWARD_DATA or TEMPERWARD_DATABASE_URL"
LOCK = 7_361_205  # any number, the same on every host


def config(engine: Engine) -> Config:
    """Return the migrations' configuration for one database."""
    made = Config()
    made.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    made.attributes["engine"] = engine
    return made


def upgrade(engine: Engine, *, to: str = "head") -> None:
    """Bring the database up; hosts that start together do it one after the other."""
    if engine.dialect.name == "sqlite":
        Path(engine.url.database or "").parent.mkdir(parents=True, exist_ok=True)
        command.upgrade(config(engine), to)
        return
    with engine.connect() as connection:
        connection.execute(text("SELECT pg_advisory_lock(:lock)"), {"lock": LOCK})
        command.upgrade(config(engine), to)
        connection.execute(text("SELECT pg_advisory_unlock(:lock)"), {"lock": LOCK})


def downgrade(engine: Engine, *, to: str) -> None:
    """Take the database back to an older shape."""
    command.downgrade(config(engine), to)


def check_there(engine: Engine) -> None:
    """Refuse a database that is not there or of another shape, and change nothing."""
    where = engine.url.render_as_string(hide_password=True)
    if engine.dialect.name == "sqlite" and not Path(engine.url.database or "").is_file():
        raise BadSettings("no_database", database=where, needs=NEEDED)
    with engine.connect() as connection:
        found = MigrationContext.configure(connection).get_current_revision()
    head = ScriptDirectory.from_config(config(engine)).get_current_head()
    if found is None:
        raise BadSettings("no_database", database=where, needs=NEEDED)
    if found != head:
        raise BadSettings("not_migrated", database=where, found=found, needs=head)
