"""A running server, a device that has joined it, and the document it serves."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import requests
from common.running_server import RunningServer


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningServer]:
    data: Path = tmp_path_factory.mktemp("fuzz")
    running = RunningServer(data).start()
    yield running
    running.stop()


def joined(server: RunningServer, code: str) -> requests.Session:
    """Return a device that has joined; its cookie rides along with every call."""
    session = requests.Session()
    answer = session.post(
        f"{server.base_url}/api/join", json={"code": code, "device_name": "fuzz"}, timeout=30
    )
    assert answer.status_code == 201, answer.text
    return session


@pytest.fixture(scope="session")
def devices(server: RunningServer) -> dict[str, requests.Session]:
    """An owner's device, a viewer's and none; all joined before wild codes shut the door to this address."""
    owner = joined(server, server.load_demo().rsplit("/", 1)[1])
    made = owner.post(f"{server.base_url}/api/join-codes", json={"role": "viewer"}, timeout=30)
    return {"owner": owner, "viewer": joined(server, made.json()["code"]), "nobody": requests.Session()}
