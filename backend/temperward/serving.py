"""Running the server: loaded once, then forked into gunicorn, what runs beside it, and who watches over all.

What is forked from a process that has loaded everything shares its pages, until it writes on them.
"""

from __future__ import annotations

import ctypes
import gc
import importlib
import json
import os
import signal
import sys
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from types import FrameType
from typing import Any

from flask import Flask
from setproctitle import setproctitle

from temperward.patience import SILENCE_S, patient_hooks

PR_SET_PDEATHSIG = 1  # linux/prctl.h
RESTART_WAIT_S = 2.0  # design: what falls over at once must not take the processor from those that serve
WORKER = "temperward.patient_worker.PatientWorker"
LOADED = (
    "temperward.sending",
    "gunicorn.app.base",
    "temperward.patient_worker",
)  # once, for all that are forked
END_WAIT_S = 15  # design: half as long again as gunicorn gives the requests under way
SENDER_NICE = 10  # whoever stands at the forge with a phone comes before what can wait a second
# How the C library keeps memory (mallopt(3)): both thresholds are 128 KiB and grow by themselves, so that
# what was needed once is kept for good; given as numbers they stand still.
FRUGAL = {
    "MALLOC_ARENA_MAX": "1",  # one heap for all threads, not one each
    "MALLOC_MMAP_THRESHOLD_": "393216",  # design: a photo's part, 256 KiB, still comes from the heap
    "MALLOC_TRIM_THRESHOLD_": "131072",  # its own 128 KiB: free memory above that goes back at once
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What is to run; with a certificate over https, with a page port also the page for new phones."""

    host: str
    port: int
    workers: int
    threads: int
    senders: int = 1
    certfile: str = ""
    keyfile: str = ""
    page_port: int = 0
    silence_s: int = SILENCE_S
    sender_rest_s: float | None = None  # none: as long as senders usually rest

    def as_words(self) -> list[str]:
        """Return the command that runs it."""
        return [sys.executable, "-m", "temperward.serving", json.dumps(asdict(self))]


def _end_with_parent() -> None:
    """Ask Linux to end this process when its parent is killed outright; elsewhere there is nothing to ask."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGTERM)


class Child:
    """One piece of work in a process of its own, started again when it falls over."""

    def __init__(self, name: str, work: Callable[[], None]) -> None:
        """Start the work."""
        self.name = name
        self.work = work
        self.code: int | None = None
        self.pid = self._start()

    def _start(self) -> int:
        sys.stdout.flush()
        parent = os.getpid()
        pid = os.fork()
        if pid:
            return pid
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, signal.SIG_DFL)
        _end_with_parent()
        if os.getppid() != parent:  # it ended before we asked
            sys.exit(1)
        setproctitle(self.name)
        self.work()
        sys.exit(0)

    def ended(self) -> bool:
        """Tell whether it has ended; its exit code is then known."""
        if self.code is None:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            self.code = os.waitstatus_to_exitcode(status) if pid else None
        return self.code is not None

    def restart_if_ended(self) -> None:
        """Start it again if it has ended."""
        if self.ended():
            time.sleep(RESTART_WAIT_S)
            self.code = None
            self.pid = self._start()

    def end(self) -> None:
        """Ask it to end, and insist when it does not."""
        for number in (signal.SIGTERM, signal.SIGKILL):
            if not self.ended():
                os.kill(self.pid, number)
            deadline = time.monotonic() + END_WAIT_S
            while not self.ended() and time.monotonic() < deadline:
                time.sleep(0.05)


def become(plan: Plan, *, settings: dict[str, str]) -> None:
    """Replace this process by the one that runs the plan: it needs less than we have loaded."""
    sys.stdout.flush()
    environment = {**FRUGAL, **os.environ, **settings}
    os.execve(sys.executable, plan.as_words(), environment)  # noqa: S606


def run(plan: Plan) -> int:
    """Run everything until the server ends or we are asked to; return the server's exit code."""
    from temperward.app import create_app  # noqa: PLC0415  (whoever only makes a plan needs none of it)

    app = create_app()
    for name in LOADED:
        importlib.import_module(name)
    gc.collect()
    gc.freeze()  # the collector would write on every object, and what is written on is not shared
    serving = Child("temperward serve", lambda: _serve(plan, app))
    others = [
        Child("temperward remind", lambda: _send(app, rest_s=plan.sender_rest_s)) for _ in range(plan.senders)
    ]
    if plan.page_port:
        others.append(Child("temperward page", lambda: _serve_page(plan)))
    asked = _when_asked()
    while not serving.ended() and not asked():
        for other in others:
            other.restart_if_ended()
        time.sleep(0.2)
    for child in (*others, serving):
        child.end()
    return 0 if asked() else serving.code or 0


def _serve(plan: Plan, app: Flask) -> None:
    """Serve with threads, because one slow upload must not hold up the others."""
    secured = {"certfile": plan.certfile, "keyfile": plan.keyfile} if plan.certfile else {}
    options = {
        "bind": f"{plan.host}:{plan.port}",
        "workers": plan.workers,
        "threads": plan.threads,
        "preload_app": True,
        "keepalive": 30,
        "graceful_timeout": 10,
        **secured,
    }
    _gunicorn(lambda: app, options, silence_s=plan.silence_s)


def _serve_page(plan: Plan) -> None:
    """Hand out the shop's own certificate over plain http."""
    from temperward.lan.page import serve_page  # noqa: PLC0415  (only where there is such a page)

    options = {"bind": f"0.0.0.0:{plan.page_port}", "workers": 1, "threads": 4, "keepalive": 5}
    _gunicorn(
        lambda: serve_page(https_port=plan.port, page_port=plan.page_port), options, silence_s=plan.silence_s
    )


def _gunicorn(make: Callable[[], Any], options: dict[str, Any], *, silence_s: int) -> None:
    from gunicorn.app.base import BaseApplication  # type: ignore[import-untyped]  # noqa: PLC0415

    class Served(BaseApplication):  # type: ignore[misc]
        """Gunicorn with our options instead of a command line."""

        def load_config(self) -> None:
            always = {"worker_class": WORKER, "control_socket_disable": True, "loglevel": "warning"}
            for name, value in (always | patient_hooks(silence_s=silence_s) | options).items():
                self.cfg.set(name, value)

        def load(self) -> Any:
            return make()

    Served().run()


def _send(app: Flask, *, rest_s: float | None) -> None:
    """Send reminders, after all that phones ask for."""
    from temperward import sending  # noqa: PLC0415
    from temperward.services.sender import EVERY_S  # noqa: PLC0415

    os.nice(SENDER_NICE)
    sending.send_forever(app, rest_s=rest_s or EVERY_S)


def _when_asked() -> Callable[[], bool]:
    """Return a question that is true once somebody asked us to end."""
    heard: list[int] = []

    def hear(number: int, _frame: FrameType | None) -> None:
        heard.append(number)

    signal.signal(signal.SIGTERM, hear)
    signal.signal(signal.SIGINT, hear)
    return lambda: bool(heard)


if __name__ == "__main__":
    sys.exit(run(Plan(**json.loads(sys.argv[1]))))
