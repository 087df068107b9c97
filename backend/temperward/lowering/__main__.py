"""`python -m temperward.lowering`: check the engine for the phone, or write the phone's files.

--check            name every line that would not run on a phone; exit 1 when there is one
--check FILE ...   the same for these files only
--version          print the engine version
--out FOLDER       write engine.bin (what the phone loads) and engine.json (its version)
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from pathlib import Path

from temperward.lowering.bundle import bundle, engine_version, lowered_engine
from temperward.lowering.lower import lower_source
from temperward.lowering.problems import LoweringError, Problem

COMPILED_FORM = "mpy -O3"  # change it with the compiler or its options: files made before are made anew


def main(arguments: list[str] | None = None) -> int:
    """Run one of the wishes; return the exit code."""
    parser = argparse.ArgumentParser(prog="python -m temperward.lowering")
    parser.add_argument("--check", nargs="*", metavar="FILE", help="name what would not run on a phone")
    parser.add_argument("--version", action="store_true", help="print the engine version")
    parser.add_argument("--out", type=Path, metavar="FOLDER", help="write engine.bin and engine.json there")
    parser.add_argument(
        "--source", action="store_true", help="with --out: source text instead of compiled files"
    )
    wish = parser.parse_args(arguments)
    try:
        if wish.check is not None:
            sys.stdout.write(_check(wish.check) + "\n")
        if wish.version:
            sys.stdout.write(engine_version() + "\n")
        if wish.out is not None:
            sys.stdout.write(_write(wish.out, precompiled=not wish.source) + "\n")
    except LoweringError as error:
        sys.stderr.write(f"{error}\n{len(error.problems)} places would not run on a phone\n")
        return 1
    return 0


def _check(files: list[str]) -> str:
    if not files:
        engine = lowered_engine()
        return f"{len(engine.sources)} files run on a phone: {engine.version}"
    problems: list[Problem] = []
    for name in files:
        try:
            lower_source(Path(name).read_text("utf-8"), path=name)
        except LoweringError as error:
            problems += error.problems
    if problems:
        raise LoweringError(problems)
    return f"{len(files)} files run on a phone"


def _write(folder: Path, *, precompiled: bool) -> str:
    made = folder / "engine.bin"
    about = {"version": engine_version(), "form": COMPILED_FORM if precompiled else "source"}
    note = folder / "engine.json"
    if made.exists() and note.exists() and json.loads(note.read_text("utf-8")) == about:
        return f"{made}: up to date, {engine_version()}"
    folder.mkdir(parents=True, exist_ok=True)
    content = bundle(precompiled=precompiled)
    _put(made, content)
    _put(note, (json.dumps(about) + "\n").encode())
    return f"{made}: {len(content)} bytes, {engine_version()}"


def _put(path: Path, content: bytes) -> None:
    """Write beside and move in place: two builds at once never leave half a file."""
    beside = path.with_name(f"{path.name}.{os.getpid()}")
    beside.write_bytes(content)
    beside.replace(path)


if __name__ == "__main__":
    sys.exit(main())
