"""Running the server: gunicorn with threads, and what runs beside it, ended together."""

from __future__ import annotations

import ctypes
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from types import FrameType

PR_SET_PDEATHSIG = 1  # linux/prctl.h
RESTART_WAIT_S = 2.0
END_WAIT_S = 15


def gunicorn_command(*, host: str, port: int, workers: int, threads: int) -> list[str]:
    """Return the command that serves; threads, because one slow upload must not hold up a worker."""
    return [
        *(sys.executable, "-m", "gunicorn", "temperward.app:create_app()"),
        *("--worker-class", "gthread", "--workers", str(workers), "--threads", str(threads)),
        *("--bind", f"{host}:{port}", "--preload", "--no-control-socket"),
        *("--keep-alive", "30", "--graceful-timeout", "10", "--log-level", "warning"),
    ]


def sender_command() -> list[str]:
    """Return the command that sends reminders."""
    return [sys.executable, "-m", "temperward.cli", "remind"]


def page_command(*, port: int, https_port: int) -> list[str]:
    """Return the command that hands out the shop's own certificate over plain http."""
    return [
        *(sys.executable, "-m", "gunicorn", f"temperward.lan.page:serve_page(https_port={https_port})"),
        *("--worker-class", "gthread", "--workers", "1", "--threads", "4", "--bind", f"0.0.0.0:{port}"),
        *("--no-control-socket", "--keep-alive", "5", "--log-level", "warning"),
    ]


def _end_with_parent() -> None:
    """Ask Linux to end this child when its parent is killed outright; elsewhere there is nothing to ask."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGTERM)


class Child:
    """One program that runs under us and is started again when it falls over."""

    def __init__(self, command: list[str], *, environment: dict[str, str]) -> None:
        """Start the program."""
        self.command = command
        self.environment = environment
        self.process = self._start()

    def _start(self) -> subprocess.Popen[bytes]:
        return subprocess.Popen(self.command, env=self.environment, preexec_fn=_end_with_parent)  # noqa: PLW1509, S603

    def restart_if_ended(self) -> None:
        """Start it again if it has ended."""
        if self.process.poll() is not None:
            time.sleep(RESTART_WAIT_S)
            self.process = self._start()

    def end(self) -> None:
        """Ask it to end, and insist when it does not."""
        self.process.terminate()
        try:
            self.process.wait(END_WAIT_S)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()


def become(server: list[str], *, beside: list[list[str]], settings: dict[str, str]) -> None:
    """Replace this process by the one that watches over all: it needs none of what we have loaded."""
    plan = json.dumps({"server": server, "beside": beside})
    command = [sys.executable, "-m", "temperward.serving", plan]
    sys.stdout.flush()
    os.execve(sys.executable, command, {**os.environ, **settings})  # noqa: S606


def run(server: list[str], *, beside: list[list[str]]) -> int:
    """Run server and others until the server ends or we are asked to; return the server's exit code."""
    environment = dict(os.environ)
    serving = Child(server, environment=environment)
    others = [Child(command, environment=environment) for command in beside]
    asked = _when_asked()
    while serving.process.poll() is None and not asked():
        for other in others:
            other.restart_if_ended()
        time.sleep(0.2)
    for child in (*others, serving):
        child.end()
    return 0 if asked() else serving.process.returncode


def _when_asked() -> Callable[[], bool]:
    """Return a question that is true once somebody asked us to end."""
    heard: list[int] = []

    def hear(number: int, _frame: FrameType | None) -> None:
        heard.append(number)

    signal.signal(signal.SIGTERM, hear)
    signal.signal(signal.SIGINT, hear)
    return lambda: bool(heard)


if __name__ == "__main__":
    sys.exit(run(**json.loads(sys.argv[1])))
