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


@pytest.fixture(scope="session")
def owner(server: RunningServer) -> requests.Session:
    """A device with the owner's rights; its cookie rides along with every call."""
    code = server.load_demo().rsplit("/", 1)[1]
    session = requests.Session()
    answer = session.post(
        f"{server.base_url}/api/join", json={"code": code, "device_name": "fuzz"}, timeout=30
    )
    assert answer.status_code == 201, answer.text
    return session
