"""Every worked example in the engine's docstrings comes out as it says."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

from temperward import engine

FOLDER = Path(engine.__file__).parent
MODULES = sorted(
    ".".join(("temperward", "engine", *file.relative_to(FOLDER).with_suffix("").parts))
    for file in FOLDER.rglob("*.py")
    if ">>>" in file.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("name", MODULES)
def test_examples(name: str) -> None:
    found = doctest.testmod(importlib.import_module(name))
    assert found.attempted > 0
    assert found.failed == 0


def test_the_formulas_have_examples() -> None:
    assert len(MODULES) > 20
