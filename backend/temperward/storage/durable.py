"""Files that are on the disk when we say so, and that nobody else reads."""

from __future__ import annotations

import os
from pathlib import Path

OWN_FILE, OWN_FOLDER = 0o600, 0o700  # a copy of everything holds push keys and what customers wished for


def new_own_file(path: Path) -> int:
    """Open a file that is not there yet, for its owner alone, and return its handle."""
    return os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, OWN_FILE)


def write_own_file(path: Path, content: bytes) -> None:
    """Write a new file for its owner alone, down to the disk."""
    with os.fdopen(new_own_file(path), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def flush(path: Path) -> None:
    """Bring what was written to a file, or the names in a folder, down to the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def flush_folders(top: Path) -> None:
    """Bring the names in a folder and in all folders inside it down to the disk."""
    for folder, _folders, _files in os.walk(top):
        flush(Path(folder))
