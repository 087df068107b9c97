"""Where the engine's files lie, and the few that the phone gets in another form."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

ENGINE = Path(__file__).resolve().parent.parent / "engine"
HOST = Path(__file__).resolve().parent / "host"
PACKAGE = "temperward/engine/"
REPLACED = ("data_files.py",)
"""Engine files whose place on the phone is taken by a file of host/."""


@dataclass(frozen=True, slots=True)
class SourceFile:
    """One file to lower: where it goes, where it came from, its text."""

    target: str
    origin: Path
    text: str
    is_host: bool


def source_files() -> list[SourceFile]:
    """Return every file of the engine and of its phone host, in alphabetical order of their target."""
    found = [
        _engine_file(path)
        for path in ENGINE.rglob("*.py")
        if path.relative_to(ENGINE).as_posix() not in REPLACED
    ]
    found += [
        SourceFile(PACKAGE + path.name, path, path.read_text("utf-8"), is_host=True)
        for path in HOST.glob("[a-z]*.py")
    ]
    return sorted(found, key=lambda item: item.target)


def data_texts() -> list[tuple[str, str]]:
    """Return each data file's name and text; words are not among them, the engine speaks in keys."""
    paths = sorted((ENGINE / "data").glob("*.json"))
    return [(path.stem, path.read_text("utf-8")) for path in paths]


def _engine_file(path: Path) -> SourceFile:
    return SourceFile(
        PACKAGE + path.relative_to(ENGINE).as_posix(), path, path.read_text("utf-8"), is_host=False
    )
