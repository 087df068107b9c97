"""The real server in its own process on a free port, with its own data folder."""

from __future__ import annotations

import json
import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

TEMPERWARD = Path(sys.executable).with_name("temperward")
START_LIMIT_S = 60


def free_port() -> int:
    """Return a port that nobody listens on."""
    with closing(socket.socket()) as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


@dataclass
class RunningServer:
    """A server that can be stopped and started again on the same port and data."""

    data: Path
    port: int = field(default_factory=free_port)
    settings: dict[str, str] = field(default_factory=dict)
    process: subprocess.Popen[bytes] | None = None

    @property
    def base_url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> RunningServer:
        """Start the server and wait until it answers."""
        words = [
            TEMPERWARD,
            "serve",
            "--data",
            self.data,
            "--host",
            "127.0.0.1",
            "--port",
            str(self.port),
            "--sender",
        ]
        with (self.data / "server.log").open("ab") as log:
            self.process = subprocess.Popen(
                words,
                stdout=log,
                stderr=subprocess.STDOUT,
                start_new_session=True,
                env={**os.environ, **self.settings},
            )
        deadline = time.monotonic() + START_LIMIT_S
        while time.monotonic() < deadline:
            assert self.process.poll() is None, (self.data / "server.log").read_text()
            try:
                self.get("/healthz")
            except (urllib.error.URLError, OSError):
                time.sleep(0.1)
            else:
                return self
        raise AssertionError((self.data / "server.log").read_text())

    def stop(self) -> None:
        """Stop the server and everything that it started."""
        if self.process is None:
            return
        self.process.terminate()
        try:
            self.process.wait(timeout=20)
        except subprocess.TimeoutExpired:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
        self.process = None

    def get(self, path: str) -> object:
        """Return the JSON at a path that needs no token."""
        with urllib.request.urlopen(self.base_url + path, timeout=10) as answer:  # noqa: S310 - our own server
            return json.load(answer)

    def command(self, *words: str) -> list[str]:
        """Run a `temperward` command on this server's data; return its lines."""
        answer = subprocess.run(
            [TEMPERWARD, *words, "--data", str(self.data)], capture_output=True, text=True, check=False
        )
        assert answer.returncode == 0, answer.stderr
        return answer.stdout.splitlines()

    def load_demo(self) -> str:
        """Load the demo shop unless it is there; return a link that joins it once."""
        lines = self.command("demo", "--base-url", self.base_url)
        return next(line for line in lines if line.startswith("join ")).removeprefix("join ")

    def claim_code(self) -> str:
        """Return a one-time code with which a phone makes a new shop here."""
        line = next(line for line in self.command("claim-code") if line.startswith("claim "))
        return line.split()[1]

    def join_link(self) -> str:
        """Return a link that lets one more device into the only shop."""
        line = next(
            line for line in self.command("join-code", "--base-url", self.base_url) if "join " in line
        )
        return line.removeprefix("join ")

    def rows(self, query: str, *given: object) -> list[dict[str, object]]:
        """Return rows of the server's database, read beside it."""
        with closing(sqlite3.connect(self.data / "temperward.sqlite3")) as connection:
            connection.row_factory = sqlite3.Row
            return [dict(row) for row in connection.execute(query, given)]
