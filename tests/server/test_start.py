"""`deploy/start.py` as a person runs it, up to the point at which it would begin to install."""

from __future__ import annotations

import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

START = Path(__file__).resolve().parents[2] / "deploy" / "start.py"
NOBODYS = "192.0.2.1"  # RFC 5737: an address for documents, no machine has it


def start(*words: str) -> str:
    """Start it where it must not come up; return what it says."""
    done = subprocess.run(
        [sys.executable, START, "--no-open", *words], capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode != 0, done.stdout
    return done.stdout + done.stderr


@pytest.fixture
def taken_port() -> Iterator[int]:
    """A port on which another program listens, with a free one before it."""
    with closing(socket.socket()) as other:
        other.bind(("0.0.0.0", 0))  # noqa: S104 - as the server would
        other.listen()
        yield int(other.getsockname()[1])


@pytest.mark.parametrize("more", [[], ["--lan"]], ids=["plain", "lan"])
def test_a_port_that_is_taken_is_named_with_the_way_out(taken_port: int, more: list[str]) -> None:
    said = start("--port", str(taken_port), *more)
    assert f"Port {taken_port} on " in said
    assert "--port" in said


def test_with_lan_the_port_of_the_page_for_new_phones_must_be_free_too(taken_port: int) -> None:
    assert f"Port {taken_port} on " in start("--lan", "--port", str(taken_port - 1))


@pytest.mark.parametrize("more", [[], ["--lan"]], ids=["plain", "lan"])
def test_the_address_that_was_asked_for_is_the_one_it_listens_on(taken_port: int, more: list[str]) -> None:
    """An address that is not this machine's is refused, not put aside for another."""
    assert f"on {NOBODYS} cannot be used" in start("--host", NOBODYS, "--port", str(taken_port - 1), *more)
