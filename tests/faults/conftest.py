"""Servers, links, pictures and the phone's code, made once for all runs."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from bad_link import Links
from common.pictures import jpeg
from common.push_receiver import PushReceiver
from faulty_server import FaultyServer
from phone_process import bundled
from plan import drawn
from verdict import Verdict
from world import World

PICTURE_SIZES = ((320, 240), (640, 480), (900, 700), (900, 700), (1400, 1000), (1500, 1200))
FRESH_EVERY = 25  # a server that has seen so many runs gives way to a new one

Run = Callable[..., Verdict]


@pytest.fixture(scope="session")
def phone_code(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return bundled(tmp_path_factory.mktemp("phone-code"))


@pytest.fixture(scope="session")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("pictures")
    made = [folder / f"{number}.jpg" for number in range(len(PICTURE_SIZES))]
    for path, (width, height) in zip(made, PICTURE_SIZES, strict=True):
        path.write_bytes(jpeg(width, height))
    return made


@pytest.fixture(scope="session")
def receiver() -> Iterator[PushReceiver]:
    with PushReceiver() as made:
        yield made


@pytest.fixture(scope="session")
def links() -> Iterator[Links]:
    made = Links()
    yield made
    made.close()


class Servers:
    """One server for many runs, on either database."""

    def __init__(self, folder: Path, new_database: Callable[[], str] | None) -> None:
        self.folder = folder
        self.new_database = new_database
        self.runs = 0
        self.server: FaultyServer | None = None

    def next(self) -> FaultyServer:
        """Return a server for one more run."""
        if self.server is None or self.runs % FRESH_EVERY == 0:
            self.close()
            many = {"workers": 4, "senders": 3} if self.new_database else {}
            url = self.new_database() if self.new_database else ""
            data = self.folder / f"data-{self.runs}"
            self.server = FaultyServer(data, database_url=url, **many)
            self.server.launch()
            self.server.wait()
        self.runs += 1
        return self.server

    def close(self) -> None:
        """End the server and forget its data."""
        if self.server is not None:
            self.server.kill()
            shutil.rmtree(self.server.data)
        self.server = None


@pytest.fixture(scope="session")
def gear(links: Links, phone_code: Path, pictures: list[Path], receiver: PushReceiver) -> dict[str, Any]:
    """What every run needs besides its plan and its server."""
    return {"links": links, "code": phone_code, "pictures": pictures, "receiver": receiver}


@pytest.fixture(scope="module")
def run_on_sqlite(tmp_path_factory: pytest.TempPathFactory, gear: dict[str, Any]) -> Iterator[Run]:
    servers = Servers(tmp_path_factory.mktemp("sqlite"), None)
    yield _runner(servers, gear)
    servers.close()


@pytest.fixture(scope="module")
def run_on_postgresql(
    tmp_path_factory: pytest.TempPathFactory, gear: dict[str, Any], postgresql: Callable[[], str]
) -> Iterator[Run]:
    servers = Servers(tmp_path_factory.mktemp("postgresql-runs"), postgresql)
    yield _runner(servers, gear)
    servers.close()


def _runner(servers: Servers, gear: dict[str, Any]) -> Run:
    def run(seed: int, **more: Any) -> Verdict:
        server = servers.next()
        folder = servers.folder / f"seed-{seed}"
        folder.mkdir(exist_ok=True)
        world = World(plan=drawn(seed), server=server, folder=folder, **{**gear, **more})
        try:
            return world.run()
        finally:
            shutil.rmtree(folder)

    return run
