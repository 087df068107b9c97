"""The phone's one file, and the version that names the engine in it on both sides."""

from __future__ import annotations

import ast
import json
import re
import struct
from importlib import metadata
from pathlib import Path

import pytest

from temperward.lowering import engine_version
from temperward.lowering.__main__ import main
from temperward.lowering.bundle import bundle, lowered_engine
from temperward.lowering.texts import canonical


def read(content: bytes) -> tuple[str, dict[str, bytes]]:
    (length,) = struct.unpack("<I", content[:4])
    index = json.loads(content[4 : 4 + length])
    files: dict[str, bytes] = {}
    at = 4 + length
    for name, size in index["files"]:
        files[name] = content[at : at + size]
        at += size
    assert at == len(content)
    return index["version"], files


def test_the_version_is_the_release_and_twelve_digits_of_the_digest() -> None:
    release = re.escape(metadata.version("temperward"))
    assert re.fullmatch(release + r"\+[0-9a-f]{12}", engine_version())


def test_the_bundle_holds_engine_host_and_data_and_no_words() -> None:
    version, files = read(bundle(precompiled=False))
    assert version == engine_version()
    assert {"temperward/engine/api.py", "temperward/engine/phone_host.py"} <= files.keys()
    assert json.loads(files["temperward/engine/data/steels.json"])["steels"]
    assert not [name for name in files if "words" in name]
    assert b"lru_cache" not in files["temperward/engine/data_files.py"]


def test_the_compiled_bundle_holds_the_same_files() -> None:
    _, plain = read(bundle(precompiled=False))
    version, compiled = read(bundle(precompiled=True))
    assert version == engine_version()
    assert sorted(name.replace(".mpy", ".py") for name in compiled) == sorted(plain)
    assert compiled["temperward/engine/api.mpy"][:1] == b"M"


def test_every_lowered_file_is_python_without_annotations() -> None:
    for name, source in lowered_engine().sources:
        for node in ast.walk(ast.parse(source)):
            assert not isinstance(node, ast.AnnAssign), name
            assert getattr(node, "annotation", None) is None, name


def test_the_digest_does_not_hang_on_how_a_python_writes_a_tree() -> None:
    one, other = ast.parse("x = f(1, 'a')"), ast.parse("x  =  f(1,\n  'a')  # why")
    assert canonical(one) == canonical(other)
    assert canonical(one) != canonical(ast.parse("x = f(2, 'a')"))


def test_a_second_build_of_the_same_engine_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["--source", "--out", str(tmp_path)]) == 0
    made = (tmp_path / "engine.bin").stat().st_mtime_ns
    assert json.loads((tmp_path / "engine.json").read_text("utf-8"))["version"] == engine_version()
    assert main(["--source", "--out", str(tmp_path)]) == 0
    assert (tmp_path / "engine.bin").stat().st_mtime_ns == made
    assert "up to date" in capsys.readouterr().out


def test_the_check_names_places_and_fails(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    part = tmp_path / "part.py"
    part.write_text("import enum\n", "utf-8")
    assert main(["--check", str(part)]) == 1
    assert f"{part}:1: import enum" in capsys.readouterr().err
    part.write_text("x = 1\n", "utf-8")
    assert main(["--check", str(part)]) == 0


def test_the_whole_engine_runs_on_a_phone(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--check", "--version"]) == 0
    assert engine_version() in capsys.readouterr().out
