"""A stage that hangs is ended with all that it started, and what it came to is told."""

from __future__ import annotations

import importlib.util
import sys
import time
from pathlib import Path
from types import ModuleType

import psutil
import pytest

MACHINE = Path(__file__).resolve().parents[2] / "deploy" / "machine.py"
LIMIT_S = 30
STARTS_ANOTHER = """
import subprocess, sys, time
child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"])
open(sys.argv[1], "w").write(str(child.pid))
time.sleep(float(sys.argv[2]))
sys.exit(3)
"""


def still_runs(pid: int) -> bool:
    """Say whether a process runs; one that has ended may still wait for somebody to ask about it."""
    try:
        return bool(psutil.Process(pid).status() != psutil.STATUS_ZOMBIE)
    except psutil.NoSuchProcess:
        return False


@pytest.fixture
def machine() -> ModuleType:
    spec = importlib.util.spec_from_file_location("machine_of_the_check", MACHINE)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(("sleeps_s", "limit_s", "code"), [(0, 60, 3), (600, 3, None)])
def test_nothing_that_a_stage_started_outlives_it(
    machine: ModuleType, tmp_path: Path, sleeps_s: float, limit_s: float, code: int | None
) -> None:
    note = tmp_path / "pid"
    words = [sys.executable, "-c", STARTS_ANOTHER, str(note), str(sleeps_s)]
    assert machine.run_at_most(limit_s, words) == code
    left = int(note.read_text(encoding="utf-8"))
    deadline = time.monotonic() + LIMIT_S
    while still_runs(left):
        assert time.monotonic() < deadline, "what the stage started runs on"
        time.sleep(0.05)
