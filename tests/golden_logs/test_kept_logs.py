"""Every log that a release wrote still folds to what it folded to then."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from kept_logs import FOLDER, STORIES, folds

KEPT = sorted(FOLDER.glob("*/*.json"))


def named(path: Path) -> str:
    return f"{path.parent.name}/{path.stem}"


@pytest.mark.parametrize("path", KEPT, ids=named)
def test_a_kept_log_folds_as_it_did(path: Path) -> None:
    kept = json.loads(path.read_text("utf-8"))
    for place, (then, now) in enumerate(zip(kept["folds"], folds(kept["facts"]), strict=True)):
        assert now == then, f"after entry {place + 1}"


def test_every_story_is_kept() -> None:
    assert {path.stem for path in KEPT} >= set(STORIES)
