"""A phone in its own process: the app's store and sync code on a disk that survives a kill."""

from __future__ import annotations

import contextlib
import functools
import json
import os
import queue
import shutil
import signal
import subprocess
import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
PAGE = Path(__file__).parent / "phone" / "phone.mjs"
OWN_NODE = ROOT / ".venv" / "bin" / "node"
SPEED = 50  # the app's seconds in one of ours: waits of half a minute pass in 0.6 s
START_LIMIT_S = 60


@functools.cache
def node() -> str:
    """Return Node's own program: what stands in the environment may be a wrapper, and a kill spare Node."""
    found = str(OWN_NODE) if OWN_NODE.exists() else shutil.which("node")
    assert found, "Node is missing: install the project with its dev extra"
    words = [found, "-p", "process.execPath"]
    return subprocess.run(words, capture_output=True, text=True, check=True).stdout.strip()


def bundled(to: Path) -> Path:
    """Put the phone's code into one file, so that a phone starts quickly; return the file."""
    out = to / "phone.mjs"
    rolldown = ROOT / "pwa" / "node_modules" / "rolldown" / "bin" / "cli.mjs"
    words = [node(), rolldown, PAGE, "-o", out, "--platform", "node"]
    answer = subprocess.run(words, capture_output=True, text=True, cwd=ROOT / "pwa", check=False)
    assert answer.returncode == 0, answer.stdout + answer.stderr
    return out


@dataclass
class PhoneProcess:
    """One phone. Its answers come when they come; those of a killed phone never do."""

    name: str
    folder: Path
    code: Path
    base_url: str
    cookie: str
    started_ms: int
    troubles: list[str] = field(default_factory=list)
    answers: dict[int, dict[str, Any]] = field(default_factory=dict)
    process: subprocess.Popen[str] | None = None
    _count: int = 0
    _waiting: dict[int, queue.Queue[dict[str, Any]]] = field(default_factory=dict)
    _reader: threading.Thread | None = None

    def start(self) -> None:
        """Open the app on what its disk holds."""
        self.folder.mkdir(exist_ok=True)
        words = [node(), self.code, self.folder, self.base_url, self.cookie, self.started_ms, SPEED]
        log = (self.folder / "errors").open("a")
        self.process = subprocess.Popen(
            [str(word) for word in words],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=log,
            text=True,
        )
        log.close()
        ready = threading.Event()
        self._reader = threading.Thread(target=self._read, args=(self.process, ready), daemon=True)
        self._reader.start()
        assert ready.wait(START_LIMIT_S), (self.folder / "errors").read_text()

    def _read(self, process: subprocess.Popen[str], ready: threading.Event) -> None:
        assert process.stdout is not None
        for line in process.stdout:
            try:
                answer = json.loads(line)
            except ValueError:
                continue  # a line that a kill cut off
            if "ready" in answer:
                ready.set()
            elif "trouble" in answer:
                self.troubles.append(answer["trouble"])
            else:
                self.answers[answer["n"]] = answer
                if answer["n"] in self._waiting:
                    self._waiting[answer["n"]].put(answer)

    def tell(self, do: str, **more: Any) -> int:
        """Say what to do and go on; the answer stands in `answers` under the number returned."""
        assert self.process is not None
        assert self.process.stdin is not None
        self._count += 1
        self.process.stdin.write(json.dumps({"do": do, "n": self._count, **more}) + "\n")
        self.process.stdin.flush()
        return self._count

    def ask(self, do: str, *, limit_s: float = 30, **more: Any) -> dict[str, Any]:
        """Say what to do and wait for the answer."""
        answer: queue.Queue[dict[str, Any]] = queue.Queue()
        self._waiting[self._count + 1] = answer
        self.tell(do, **more)
        return answer.get(timeout=limit_s)

    def freeze(self) -> None:
        """Stop the process where it is, as a phone does with a page out of sight."""
        assert self.process is not None
        self.process.send_signal(signal.SIGSTOP)

    def thaw(self) -> None:
        """Let it go on."""
        assert self.process is not None
        self.process.send_signal(signal.SIGCONT)

    def kill(self) -> None:
        """End the process with no chance to tidy up."""
        if self.process is None:
            return
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        assert self._reader is not None
        os.kill(self.process.pid, signal.SIGKILL)
        self.process.wait()
        self._reader.join(10)
        self.process.stdout.close()
        with contextlib.suppress(BrokenPipeError):  # what was still to be said went with the process
            self.process.stdin.close()
        self.process = None
