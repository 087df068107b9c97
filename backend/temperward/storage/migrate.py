"""Bringing a database to this release's shape, and back."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Engine, text

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
