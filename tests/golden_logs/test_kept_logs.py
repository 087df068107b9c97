"""Every log that a release wrote still folds to what it folded to then."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from kept_logs import FOLDER, STORIES, folds

from temperward.engine import api

CALM = ["planned", "shaped", "ground_ready", "cycle_checked", "ready_to_harden"]
KEPT = sorted(FOLDER.glob("*/*.json"))


def named(path: Path) -> str:
    return f"{path.parent.name}/{path.stem}"


@pytest.mark.parametrize("path", KEPT, ids=named)
def test_a_kept_log_folds_as_it_did(path: Path) -> None:
    kept = json.loads(path.read_text("utf-8"))
    for place, (then, now) in enumerate(zip(kept["folds"], folds(kept["facts"]), strict=True)):
        assert now == then, f"after entry {place + 1}"


@pytest.mark.parametrize("path", KEPT, ids=named)
def test_a_kept_card_is_compared_with_one_of_today_where_that_disturbs_nobody(path: Path) -> None:
    """A card of any release is taken in: what moved since is told before the fire, and nothing after it."""
    facts = json.loads(path.read_text("utf-8"))["facts"]
    entries = facts["entries"]
    for count in range(2, len(entries) + 1):
        now_ms = entries[count - 1]["written_ms"]
        log = {**facts, "entries": entries[:count], "now_ms": now_ms}
        said = api.ask("card_offer", {**log, "engine_version": "999.0.0+later"})["answer"]
        state = api.ask("fold", log)["answer"]["state"]["id"]
        assert (said["is"] == "not_now") == (state not in CALM), (count, state, said["is"])
        assert said["is"] in ("not_now", "same", "offered", "left"), said


def test_every_story_is_kept() -> None:
    assert {path.stem for path in KEPT} >= set(STORIES)
