"""The deploy folder: its gunicorn settings serve, and what its files name is there under that name."""

from __future__ import annotations

import http.client
import os
import re
import subprocess
import sys
import time
from contextlib import closing
from dataclasses import fields
from pathlib import Path

import pytest
from common.running_server import free_port

from temperward.api.bodies import BODY_LIMIT_BYTES
from temperward.cli import commands
from temperward.serving import FRUGAL
from temperward.settings import PREFIX, Settings

DEPLOY = Path(__file__).parents[2] / "deploy"
UNITS = sorted(DEPLOY.glob("*.service"))
WAIT_S = 60


def words_of(unit: Path, name: str) -> list[str]:
    """Return what a unit says under a name."""
    found = re.findall(rf"^{name}=(.*)$", unit.read_text(), re.MULTILINE)
    return [word for line in found for word in line.split()]


def test_the_gunicorn_settings_serve(tmp_path: Path) -> None:
    port = free_port()
    env = {**os.environ, "TEMPERWARD_DATA": str(tmp_path), "TEMPERWARD_BIND": f"127.0.0.1:{port}"}
    bin_folder = Path(sys.executable).parent
    subprocess.run([bin_folder / "temperward", "migrate"], env=env, check=True)
    words = [bin_folder / "gunicorn", "--config", DEPLOY / "gunicorn.conf.py"]
    process = subprocess.Popen(words, env=env, stderr=subprocess.PIPE)
    try:
        assert status_of(port, process) == 200
    finally:
        process.terminate()
        said = process.communicate(timeout=WAIT_S)[1].decode()
    assert "PatientWorker" in said


def status_of(port: int, process: subprocess.Popen[bytes]) -> int:
    """Ask until somebody answers."""
    deadline = time.monotonic() + WAIT_S
    while time.monotonic() < deadline and process.poll() is None:
        try:
            with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=10)) as connection:
                connection.request("GET", "/healthz", headers={"Connection": "close"})
                return connection.getresponse().status
        except OSError:
            time.sleep(0.1)
    return 0


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.name)
def test_a_unit_starts_what_there_is_with_memory_as_serve_sets_it(unit: Path) -> None:
    assert dict(word.split("=") for word in words_of(unit, "Environment")) == FRUGAL
    for start in words_of(unit, "ExecStartPre"), words_of(unit, "ExecStart"):
        if start and Path(start[0]).name == "temperward":
            assert start[1] in commands.commands
        elif start:
            assert Path(start[0]).name == "gunicorn"
            assert (DEPLOY / Path(start[-1]).name).is_file()


def test_two_units_are_there_a_server_and_a_sender() -> None:
    assert [words_of(unit, "ExecStart")[0].rpartition("/")[2] for unit in UNITS] == ["temperward", "gunicorn"]


def test_the_example_sets_only_what_can_be_set() -> None:
    named = re.findall(r"^#?(TEMPERWARD_\w+)=", (DEPLOY / "environment.example").read_text(), re.MULTILINE)
    assert named
    assert set(named) <= {PREFIX + one.name.upper() for one in fields(Settings)}


def test_the_proxy_lets_through_what_the_server_answers_readably() -> None:
    """A body just over the server's limit must reach it: its 413 says how much it takes."""
    [megabytes] = re.findall(r"max_size (\d+)MB", (DEPLOY / "Caddyfile").read_text())
    assert int(megabytes) * 1_000_000 > BODY_LIMIT_BYTES
