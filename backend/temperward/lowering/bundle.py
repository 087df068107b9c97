"""Puts the lowered engine and its data into one file for the phone, and names that very engine.

The file: four bytes (length of the index, little endian), the index as JSON, then the files in turn.
Index: {"version": "0.1.0+0123456789ab", "files": [["temperward/engine/api.mpy", 1234], ...]}.
"""

from __future__ import annotations

import hashlib
import json
import struct
from dataclasses import dataclass
from functools import cache
from importlib import metadata

from temperward.lowering.engine_files import PACKAGE, SourceFile, data_texts, source_files
from temperward.lowering.linking import missing_names
from temperward.lowering.lower import Lowered, lower_source
from temperward.lowering.problems import LoweringError, Problem
from temperward.lowering.texts import canonical

DIGEST_LENGTH = 12


@dataclass(frozen=True, slots=True)
class LoweredEngine:
    """Every file of the engine as the phone gets it, with the version that names them all."""

    version: str
    sources: list[tuple[str, str]]
    data: list[tuple[str, str]]


@cache
def lowered_engine() -> LoweredEngine:
    """Lower the whole engine; raise LoweringError with every place that stands in the way."""
    lowered = _lowered_files()
    data = [
        (name, json.dumps(json.loads(text), separators=(",", ":"), ensure_ascii=False))
        for name, text in data_texts()
    ]
    digest = hashlib.sha256()
    for target, file in lowered:
        digest.update((target + "\n" + canonical(file.tree) + "\n").encode())
    for name, text in data:
        digest.update((name + "\n" + text + "\n").encode())
    version = metadata.version("temperward") + "+" + digest.hexdigest()[:DIGEST_LENGTH]
    return LoweredEngine(version, [(target, file.source) for target, file in lowered], data)


def engine_version() -> str:
    """Return release and digest of the lowered engine: the same text on the server and on the phone."""
    return lowered_engine().version


def bundle(*, precompiled: bool) -> bytes:
    """Return the one file that the phone loads."""
    engine = lowered_engine()
    files: list[tuple[str, bytes]] = []
    for target, source in engine.sources:
        if precompiled:
            from temperward.lowering.compiled import compiled  # noqa: PLC0415 (only a build has the compiler)

            files.append((target.removesuffix(".py") + ".mpy", compiled(source, name=target)))
        else:
            files.append((target, source.encode()))
    files += [(PACKAGE + "data/" + name + ".json", text.encode()) for name, text in engine.data]
    index = {"version": engine.version, "files": [[target, len(content)] for target, content in files]}
    head = json.dumps(index, separators=(",", ":")).encode()
    return struct.pack("<I", len(head)) + head + b"".join(content for _, content in files)


def _lowered_files() -> list[tuple[str, Lowered]]:
    lowered: list[tuple[SourceFile, Lowered]] = []
    problems: list[Problem] = []
    for file in source_files():
        try:
            lowered.append((file, lower_source(file.text, path=str(file.origin), host=file.is_host)))
        except LoweringError as error:
            problems += error.problems
    if not problems:
        problems = missing_names([(file.target, str(file.origin), made.tree) for file, made in lowered])
    if problems:
        raise LoweringError(problems)
    return [(file.target, made) for file, made in lowered]
