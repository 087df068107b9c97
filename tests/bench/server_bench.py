"""The server's table of numbers, in one run, beside the bare endpoint that is its floor.

    python tests/bench/server_bench.py [--write]

Both run under gunicorn with one worker of sixteen threads, on loopback, with a database that flushes every
commit. The packing of pushes and the making of pictures is done before the clock starts.
"""

from __future__ import annotations

import argparse
import os
import platform
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import psutil

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "tests" / "bench")]

from bench_client import BenchPhone, ShakyPhone, packed  # noqa: E402
from bench_lines import AT_ONCE, PHONES, Line, crawl_line, crowd_line, photo_lines, text_lines  # noqa: E402
from common.running_server import RunningServer, free_port  # noqa: E402

READ_IT = (
    '"computed" is the processor time of all processes that answer: on a busy machine it is what compares.',
    "Memory is PSS, summed over all processes at the worst moment: a page that several share counts once.",
    "A new photo waits three times for the disk (bytes, name, row) and is decoded whole; its small",
    "copy is made when a phone first asks. The floor waits once for each part and decodes nothing.",
    "A push waits once, for the commit, and so does the floor. What faults come to is no bench: it stands in",
    "[faults.md](faults.md).",
)
LOAD = os.getloadavg()[0]
RESULT = ROOT / "backend" / "docs" / "benches.md"


@dataclass
class Memory:
    """The most memory a server's processes held, all together with shared pages once, and the largest one."""

    pid: int
    peak: int = 0
    largest: int = 0
    done: threading.Event = field(default_factory=threading.Event)

    def watch(self) -> None:
        """Look five times a second until told to stop."""
        while not self.done.wait(0.2):
            held = [_share(one) for one in self._all()]
            self.peak, self.largest = max(self.peak, sum(held)), max(self.largest, *held)

    def _all(self) -> list[psutil.Process]:
        parent = psutil.Process(self.pid)
        return [parent, *parent.children(recursive=True)]


def answering_cpu_s(pid: int) -> float:
    """Return the seconds that all processes but the sender of reminders have computed so far."""
    parent = psutil.Process(pid)
    total = 0.0
    for one in (parent, *parent.children(recursive=True)):
        try:
            times, words = one.cpu_times(), " ".join(one.cmdline())
        except psutil.NoSuchProcess:
            continue
        total += 0 if "remind" in words else times.user + times.system
    return total


def _share(process: psutil.Process) -> int:
    try:
        return int(process.memory_full_info().pss)
    except (psutil.NoSuchProcess, psutil.AccessDenied):
        return 0


@contextmanager
def bare_server(folder: Path) -> Iterator[int]:
    """Run the bare endpoint as the server itself is run."""
    port = free_port()
    words = [sys.executable, "-m", "gunicorn", "--chdir", str(Path(__file__).parent), "bare_endpoint:app"]
    how = ["--worker-class", "gthread", "--workers", "1", "--threads", "16", "--keep-alive", "30"]
    where = ["--bind", f"127.0.0.1:{port}", "--no-control-socket", "--log-level", "error"]
    process = subprocess.Popen([*words, *how, *where], env={**os.environ, "BARE_DATA": str(folder)})
    try:
        deadline = time.monotonic() + 30
        while True:
            try:
                BenchPhone(port).sync(packed([], since=0))
                break
            except OSError:
                assert time.monotonic() < deadline, "the bare endpoint did not start"
                time.sleep(0.1)
        yield port
    finally:
        process.terminate()
        process.wait(20)


def joined(owner: BenchPhone, count: int, kind: type[BenchPhone] = BenchPhone) -> list[Any]:
    """Let more phones into the owner's shop."""
    owner.hang_up()
    phones = [kind(owner.port) for _ in range(count)]
    for phone in phones:
        code = owner.json("POST", "/api/join-codes", {"role": "smith"})["code"]
        phone.json("POST", "/api/join", {"code": code, "device_name": "bench"})
        phone.hang_up()
        phone.sent = phone.got = 0
    return phones


def measure(server: RunningServer, bare_port: int) -> Iterator[Line]:
    """Yield every line of the table."""
    assert server.process is not None
    memory = Memory(server.process.pid)
    pid = server.process.pid
    watching = threading.Thread(target=memory.watch)

    def cpu() -> float:
        return answering_cpu_s(pid)

    watching.start()
    try:
        owner = BenchPhone(server.port)
        wish = {"code": server.claim_code(), "shop_name": "Bench", "zone": "UTC", "device_name": "owner"}
        owner.json("POST", "/api/claim", wish)
        fresh, *several = joined(owner, 1 + AT_ONCE)
        [shaky] = joined(owner, 1, ShakyPhone)
        yield from text_lines(owner, BenchPhone(bare_port), fresh, cpu=cpu)
        yield from photo_lines(several, [BenchPhone(bare_port) for _ in several], shaky, cpu=cpu)
        yield crowd_line(joined(owner, PHONES), bare_port, cpu=cpu)
        yield crawl_line(owner, several[:2])
    finally:
        memory.done.set()
        watching.join()
    peak = memory.peak / 1e6
    seen = f"{peak:.0f} MB, the largest process {memory.largest / 1e6:.0f} MB"
    yield Line("memory of all its processes, peak", seen, "-", "<= 130 MB", peak <= 130)


def _machine() -> str:
    """Say what it ran on; a busy machine is slower, so the floor of the same run stands beside."""
    cores = os.cpu_count()
    memory = f"{psutil.virtual_memory().total / 2**30:.0f} GB"
    python = f"Python {platform.python_version()} on {platform.system()}"
    busy = f"load before the run {LOAD:.1f} (above {cores} it waits for others)"
    return f"Machine: {cores} cores, {memory}, {python}, SQLite; {busy}."


def report(lines: list[Line]) -> str:
    """Return the table in Markdown with the machine it was made on."""
    head = [
        "# The server's numbers",
        "",
        "`python tests/bench/server_bench.py --write` makes this page in one run: the real server (access,",
        "checks, reminders, a commit flushed to the disk) beside a bare endpoint that does none of it",
        "(tests/bench/bare_endpoint.py, the floor), under the same gunicorn, over loopback, same client.",
        "",
        *READ_IT,
        "",
        _machine(),
        "",
        "| | seen | floor, same run | must | | computed |",
        "|---|---|---|---|---|---|",
    ]
    rows = [
        f"| {one.what} | {one.seen} | {one.floor} | {one.must} | {one.word} | {one.cpu} |" for one in lines
    ]
    return "\n".join([*head, *rows, ""])


def main() -> int:
    """Run, print and, if asked, write."""
    parser = argparse.ArgumentParser(description="The server's numbers beside their floor.")
    parser.add_argument("--write", action="store_true", help=f"write {RESULT.relative_to(ROOT)}")
    options = parser.parse_args()
    lines: list[Line] = []
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "real").mkdir()
        (Path(folder) / "bare").mkdir()
        server = RunningServer(Path(folder) / "real").start()
        try:
            with bare_server(Path(folder) / "bare") as bare_port:
                for line in measure(server, bare_port):
                    lines.append(line)
                    told = f"{line.what:50} {line.seen:45} floor {line.floor:11} must {line.must:25}"
                    print(f"{told} computed {line.cpu}", flush=True)  # noqa: T201
        finally:
            server.stop()
    if options.write:
        RESULT.write_text(report(lines), encoding="utf-8")
    return 0 if all(line.kept for line in lines) else 1


if __name__ == "__main__":
    sys.exit(main())
