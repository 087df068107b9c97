"""The migrations go up, come back, and end where the models are, on both databases."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, create_engine, insert, inspect, select
from sqlalchemy.exc import IntegrityError

from temperward.errors import BadBackup
from temperward.settings import Settings
from temperward.storage import migrate
from temperward.storage.models import Base
from temperward.storage.session import prepare_sqlite

pytestmark = pytest.mark.usefixtures("both_databases")


@pytest.fixture
def new_postgresql(postgresql: Callable[..., str]) -> Callable[..., str]:
    """Here the tables are what is to be made."""
    return postgresql


@pytest.fixture
def engine(settings: Settings) -> Iterator[Engine]:
    made = create_engine(settings.sqlalchemy_url)
    if made.dialect.name == "sqlite":
        prepare_sqlite(made)
    yield made
    made.dispose()


def tables(engine: Engine) -> set[str]:
    return set(inspect(engine).get_table_names()) - {"alembic_version"}


def test_up_makes_every_table_and_down_takes_every_one_away(engine: Engine) -> None:
    migrate.upgrade(engine)
    assert tables(engine) == set(Base.metadata.tables)
    migrate.downgrade(engine, to="base")
    assert tables(engine) == set()
    migrate.upgrade(engine)
    assert tables(engine) == set(Base.metadata.tables)


def test_each_step_goes_up_and_back_by_itself(engine: Engine) -> None:
    steps = ScriptDirectory.from_config(migrate.config(engine)).walk_revisions()
    for step in reversed(list(steps)):
        migrate.upgrade(engine, to=step.revision)
        migrate.downgrade(engine, to="-1")
        migrate.upgrade(engine, to=step.revision)
    assert tables(engine) == set(Base.metadata.tables)


ROWS: dict[str, dict[str, object]] = {
    "server_facts": {"name": "epoch", "value": "e"},
    "wrong_tries": {"address_digest": "a", "window_ms": 1, "tries": 2},
    "shops": {
        "shop_id": "s",
        "name": "Quillfen",
        "zone": "UTC",
        "origin": "claimed",
        "last_seq": 1,
        "made_ms": 1,
    },
    "devices": {
        "shop_id": "s",
        "device_id": "d",
        "name": "phone",
        "role": "owner",
        "token_digest": "t",
        "joined_ms": 1,
        "seen_ms": 1,
        "revoked_ms": None,
    },
    "join_codes": {"shop_id": "s", "code_digest": "c", "role": "smith", "expires_ms": 1, "used_ms": None},
    "entries": {
        "shop_id": "s",
        "id": "i",
        "seq": 1,
        "cursor_seq": 1,
        "log_kind": "piece",
        "log_id": "l",
        "kind": "note",
        "version": 1,
        "lamport": 1,
        "photo_sha256": None,
        "unread": False,
        "received_ms": 1,
        "erased_ms": None,
        "text": "{}",
    },
    "logs": {"shop_id": "s", "log_id": "l", "changes": 1, "look_again_ms": None, "failure": None},
    "reminders": {
        "shop_id": "s",
        "clock_id": "b",
        "stage": "alarm",
        "log_id": "l",
        "due_ms": 1,
        "state": "waiting",
        "next_try_ms": 1,
        "first_try_ms": None,
        "sent_ms": None,
        "reached": "[]",
    },
    "push_subscriptions": {
        "shop_id": "s",
        "endpoint_id": "p",
        "device_id": "d",
        "endpoint": "https://push.example",
        "p256dh": "k",
        "auth": "a",
        "made_ms": 1,
    },
    "photos": {
        "shop_id": "s",
        "sha256": "h",
        "length_bytes": 1,
        "media_type": "image/jpeg",
        "width_px": 1,
        "height_px": 1,
        "stored_ms": 1,
    },
    "erasures": {"shop_id": "s", "what": "entry", "key": "k", "erased_ms": 1},
}

# What a later release might do: make the table that all others point at anew.
SHOPS_ANEW = """
from alembic import op
import sqlalchemy as sa
revision, down_revision, branch_labels, depends_on = "9999", "{head}", None, None
def upgrade():
    with op.batch_alter_table("shops", recreate="{recreate}") as batch:
        batch.add_column(sa.Column("motto", sa.Text(), nullable=True))
    {then}
def downgrade():
    with op.batch_alter_table("shops", recreate="{recreate}") as batch:
        batch.drop_column("motto")
"""


def fill(engine: Engine) -> None:
    """Put a row into every table."""
    with engine.begin() as connection:
        for table in Base.metadata.sorted_tables:
            connection.execute(insert(table), [ROWS[table.name]])


def held(engine: Engine) -> dict[str, list[dict[str, object]]]:
    """Return every row of every table."""
    with engine.connect() as connection:
        return {
            name: [dict(row) for row in connection.execute(select(table)).mappings()]
            for name, table in Base.metadata.tables.items()
        }


def later(engine: Engine, folder: Path, *, then: str = "pass") -> Config:
    """Return the migrations with one more step, of a release to come."""
    made = migrate.config(engine)
    head = ScriptDirectory.from_config(made).get_current_head()
    recreate = "always" if engine.dialect.name == "sqlite" else "auto"
    (folder / "9999_shops_anew.py").write_text(SHOPS_ANEW.format(head=head, then=then, recreate=recreate))
    made.set_main_option("path_separator", "os")
    ours = Path(str(made.get_main_option("script_location"))) / "versions"
    made.set_main_option("version_locations", f"{ours}{os.pathsep}{folder}")
    return made


def test_the_newest_step_goes_down_and_up_over_rows_in_every_table(engine: Engine) -> None:
    """The first step makes the tables and can only take them away; every later one keeps what is in them."""
    migrate.upgrade(engine)
    fill(engine)
    before = held(engine)
    assert all(len(rows) == 1 for rows in before.values())
    steps = list(ScriptDirectory.from_config(migrate.config(engine)).walk_revisions())
    for step in steps[:-1]:
        migrate.downgrade(engine, to=str(step.down_revision))
    migrate.upgrade(engine)
    assert held(engine) == before


def test_a_step_that_makes_the_shops_table_anew_loses_no_row(engine: Engine, tmp_path: Path) -> None:
    migrate.upgrade(engine)
    fill(engine)
    before = held(engine)
    step = later(engine, tmp_path)
    command.upgrade(step, "head")
    assert held(engine) == before
    command.downgrade(step, "-1")
    assert held(engine) == before
    if engine.dialect.name == "sqlite":
        with engine.connect() as connection:
            assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar_one() == 1


@pytest.mark.parametrize(
    "then", ["raise RuntimeError('x')", "op.execute(\"INSERT INTO shops (shop_id) VALUES ('x')\")"]
)
def test_a_step_that_fails_leaves_everything_as_it_was(engine: Engine, tmp_path: Path, then: str) -> None:
    migrate.upgrade(engine)
    fill(engine)
    before = held(engine)
    with pytest.raises((RuntimeError, IntegrityError)):
        command.upgrade(later(engine, tmp_path, then=then), "head")
    assert held(engine) == before
    assert "motto" not in [column["name"] for column in inspect(engine).get_columns("shops")]
    migrate.upgrade(engine)


def test_a_step_that_would_orphan_rows_is_refused(engine: Engine, tmp_path: Path) -> None:
    migrate.upgrade(engine)
    fill(engine)
    before = held(engine)
    step = later(engine, tmp_path, then="op.execute(\"UPDATE shops SET shop_id = 'other'\")")
    with pytest.raises((BadBackup, IntegrityError)):
        command.upgrade(step, "head")
    assert held(engine) == before


@contextmanager
def held_back(engine: Engine, servers: list[subprocess.Popen[bytes]]) -> Iterator[None]:
    """Hold SQLite's one writer's lock until every server has the file open: they come to it together."""
    if engine.dialect.name != "sqlite":
        yield
        return
    file = Path(str(engine.url.database))
    file.parent.mkdir()
    with closing(sqlite3.connect(file, isolation_level=None)) as holder:
        holder.execute("PRAGMA journal_mode = WAL")
        holder.execute("BEGIN IMMEDIATE")
        yield
        while not all(one.poll() is not None or has_open(one.pid, file) for one in servers):
            time.sleep(0.05)


def has_open(pid: int, file: Path) -> bool:
    return file in [one.resolve() for one in Path(f"/proc/{pid}/fd").iterdir()]


def test_servers_that_start_at_once_bring_the_database_up_one_after_the_other(
    engine: Engine, settings: Settings
) -> None:
    env = {**os.environ, "TEMPERWARD_DATA": settings.data, "TEMPERWARD_DATABASE_URL": settings.database_url}
    words = [Path(sys.executable).with_name("temperward"), "migrate"]
    servers: list[subprocess.Popen[bytes]] = []
    with held_back(engine, servers):
        servers += [subprocess.Popen(words, env=env, stderr=subprocess.PIPE) for _ in range(3)]
    assert [(one.communicate()[1][-500:], one.returncode) for one in servers] == [(b"", 0)] * 3
    assert tables(engine) == set(Base.metadata.tables)


def test_the_migrations_have_not_drifted_from_the_models(engine: Engine) -> None:
    migrate.upgrade(engine)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []


def test_going_up_twice_changes_nothing(engine: Engine) -> None:
    migrate.upgrade(engine)
    migrate.upgrade(engine)
    command.check(migrate.config(engine))


def test_every_key_of_a_shops_table_begins_with_the_shop() -> None:
    of_shops = [
        table for name, table in Base.metadata.tables.items() if name not in ("server_facts", "wrong_tries")
    ]
    assert len(of_shops) == 9
    for table in of_shops:
        assert next(iter(table.primary_key.columns)).name == "shop_id"
        for key in table.foreign_keys:
            assert "shop_id" in [column.name for column in key.constraint.columns]
