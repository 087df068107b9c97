"""The import rules must fail when somebody breaks them; a rule nobody has seen fail is a hope."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BIN = Path(sys.executable).parent

BREACHES_PYTHON = {
    "the engine reads the clock": ("engine/api.py", "import time"),
    "the engine knows the date": ("engine/process/clocks.py", "from datetime import datetime"),
    "the engine reads the machine": ("engine/data_files.py", "import os"),
    "the engine knows the web": ("engine/errors.py", "from flask import Flask"),
    "the engine knows the schemas": ("engine/facts.py", "import marshmallow"),
    "the engine takes chance": ("engine/quantities.py", "import random"),
    "the engine knows the server": ("engine/api.py", "import temperward.services"),
    "the engine reads the settings": ("engine/api.py", "import temperward.settings"),
    "the engine writes sentences": ("engine/process/fold.py", "import temperward.wording"),
    "the engine keeps a log": ("engine/sources.py", "import logging"),
    "the engine knows the database": ("engine/process/card.py", "import sqlalchemy"),
    "storage sends messages": ("storage/__init__.py", "import temperward.delivery.message"),
    "the api touches storage": ("api/__init__.py", "import temperward.storage.models"),
    "a service calls the api": ("services/__init__.py", "import temperward.api"),
}
BREACHES_TYPESCRIPT = {
    "a screen writes to the store": ("src/ui/App.tsx", "src/store/db.ts"),
    "a screen asks the engine": ("src/ui/App.tsx", "src/engine/client.ts"),
    "an action reaches into a screen": ("src/actions/keep.ts", "src/ui/say.ts"),
    "a signal fills itself": ("src/state/blades.ts", "src/store/db.ts"),
    "an alarm reads the store": ("src/alarms/plan.ts", "src/store/db.ts"),
    "the engine's host knows the store": ("src/engine/client.ts", "src/store/db.ts"),
    "the store knows the screens": ("src/store/db.ts", "src/ui/App.tsx"),
    "sync knows the engine": ("src/sync/round.ts", "src/engine/client.ts"),
    "the service worker leans on the app": ("src/sw.ts", "src/store/db.ts"),
}


@pytest.fixture(scope="module")
def python_tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    tree = tmp_path_factory.mktemp("python")
    shutil.copy(ROOT / "pyproject.toml", tree)
    leave_out = shutil.ignore_patterns("__pycache__", "app_dist")
    shutil.copytree(ROOT / "backend" / "temperward", tree / "backend" / "temperward", ignore=leave_out)
    return tree


@pytest.fixture(scope="module")
def phone_tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    tree = tmp_path_factory.mktemp("phone")
    shutil.copytree(ROOT / "pwa", tree / "pwa", ignore=shutil.ignore_patterns("node_modules", "coverage"))
    (tree / "pwa" / "node_modules").symlink_to(ROOT / "pwa" / "node_modules")
    data = Path("backend/temperward/engine/data")  # what the phone reads of the engine's data
    shutil.copytree(ROOT / data, tree / data)
    return tree / "pwa"


def lint_imports(tree: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [BIN / "lint-imports", "--no-cache"],
        cwd=tree,
        env={**os.environ, "PYTHONPATH": str(tree / "backend")},
        capture_output=True,
        text=True,
        check=False,
    )


def depcruise(tree: Path) -> subprocess.CompletedProcess[str]:
    path = f"{BIN}{os.pathsep}{os.environ['PATH']}"
    words = [BIN / "npm", "run", "--silent", "imports"]
    return subprocess.run(
        words, cwd=tree, env={**os.environ, "PATH": path}, capture_output=True, text=True, check=False
    )


def test_the_python_tree_as_it_is_keeps_the_rules(python_tree: Path) -> None:
    answer = lint_imports(python_tree)
    assert answer.returncode == 0, answer.stdout


@pytest.mark.parametrize("breach", BREACHES_PYTHON)
def test_a_python_breach_is_caught(python_tree: Path, breach: str) -> None:
    name, line = BREACHES_PYTHON[breach]
    broken = python_tree / "backend" / "temperward" / name
    before = broken.read_text("utf-8")
    broken.write_text(f"{before}\n{line}\n", "utf-8")
    try:
        answer = lint_imports(python_tree)
    finally:
        broken.write_text(before, "utf-8")
    assert answer.returncode == 1, answer.stdout
    assert "BROKEN" in answer.stdout


def test_the_phone_tree_as_it_is_keeps_the_rules(phone_tree: Path) -> None:
    answer = depcruise(phone_tree)
    assert answer.returncode == 0, answer.stdout + answer.stderr


@pytest.mark.parametrize("breach", BREACHES_TYPESCRIPT)
def test_a_typescript_breach_is_caught(phone_tree: Path, breach: str) -> None:
    name, target = BREACHES_TYPESCRIPT[breach]
    broken = phone_tree / name
    before = broken.read_text("utf-8")
    path = os.path.relpath(phone_tree / target, broken.parent)
    broken.write_text(f'import "./{path}";\n{before}', "utf-8")
    try:
        answer = depcruise(phone_tree)
    finally:
        broken.write_text(before, "utf-8")
    assert answer.returncode != 0, answer.stdout
    assert f"{name} → {target}" in answer.stdout, answer.stdout
