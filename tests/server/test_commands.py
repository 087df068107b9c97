"""The command, run as a person runs it: in a process of its own."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

TEMPERWARD = Path(sys.executable).with_name("temperward")


def run(*words: str, said: str = "", expect: int = 0, env: dict[str, str] | None = None) -> str:
    done = subprocess.run(
        [TEMPERWARD, *words], input=said, capture_output=True, text=True, check=False, env=env
    )
    assert done.returncode == expect, done.stderr
    return done.stdout if expect != 1 else done.stderr


def test_a_question_is_answered_and_a_refusal_ends_with_two() -> None:
    facts = {"length_mm": 420, "pad_mm": 2, "stations": [{"at_mm": 210, "gap_mm": "wide"}]}
    refused: dict[str, Any] = json.loads(run("ask", "straightness", said=json.dumps(facts), expect=2))
    assert refused["error"]["field"]
    assert json.loads(run("ask", "steels", said="{}"))["question"] == "steels"


def test_the_desk_offers_no_card_that_its_own_release_is_too_old_for() -> None:
    """Who asks without saying by which release is told by the one that is installed."""
    entry = {"log_kind": "piece", "log_id": "blade", "version": 1, "happened_ms": 1, "written_ms": 1}
    entry |= {"plus_minus_s": 1, "at_source": "live", "device_id": "phone", "engine_version": "999.0.0+later"}
    card = {"card": {"facts": {}}}
    entries = [{**entry, "id": "a", "lamport": 1, "kind": "card_made", "body": card}]
    facts: dict[str, Any] = {"log_kind": "piece", "log_id": "blade", "entries": entries, "now_ms": 2}
    for more, said in (({}, "newer_card"), ({"engine_version": "1000.0.0"}, "refused")):
        assert json.loads(run("ask", "card_offer", said=json.dumps(facts | more)))["answer"]["is"] == said


def test_the_demo_is_loaded_once_and_always_ends_with_a_link(tmp_path: Path) -> None:
    data = str(tmp_path)
    first = run("demo", "--data", data, "--base-url", "http://forge.test").splitlines()
    second = run("demo", "--data", data).splitlines()
    assert re.fullmatch(r"join http://forge\.test/#/join/[A-Z0-9]{8}", first[-1])
    assert "nothing was changed" in second[0]
    assert second[-1].startswith("join http")
    fresh = json.loads(run("demo", "--data", data, "--fresh", "--json"))
    assert fresh["link"].endswith(fresh["code"])
    assert "name_the_shop" in run("join-code", "--data", data, expect=1)
    joined = run("join-code", "--data", data, "--shop", fresh["shop_id"], "--role", "viewer")
    assert joined.startswith("join http")
    drawn = run("join-code", "--data", data, "--shop", fresh["shop_id"], "--qr").splitlines()
    assert drawn[-1].startswith("join http")
    blocks = [line for line in drawn[:-1] if line.strip()]
    # Each line holds two rows of a picture that is as high as it is wide.
    assert set("".join(blocks)) <= set("█▀▄ \xa0")
    assert len({len(line) for line in blocks}) == 1
    assert len(blocks[0]) in (2 * len(blocks), 2 * len(blocks) - 1)


def test_everything_can_be_copied_and_brought_back(tmp_path: Path) -> None:
    data, other = str(tmp_path / "one"), str(tmp_path / "two")
    run("demo", "--data", data)
    said = run("backup", "--data", data, str(tmp_path / "copy"))
    assert "proved" in said
    assert "proved" in run("restore", "--data", other, str(tmp_path / "copy"))
    assert "not_empty" in run("restore", "--data", other, str(tmp_path / "copy"), expect=1)
    state = run("export", "--data", data, str(tmp_path / "shop.zip"))
    again = run("export", "--data", other, str(tmp_path / "again.zip"))
    assert state.split()[-1] == again.split()[-1]
    assert "the state hash is the same" in run("import", "--data", other, str(tmp_path / "shop.zip"))


def test_one_round_of_the_sender_ends_by_itself(tmp_path: Path) -> None:
    run("demo", "--data", str(tmp_path))
    run("remind", "--data", str(tmp_path), "--once")


def test_the_document_and_the_table_are_printed() -> None:
    assert json.loads(run("openapi"))["openapi"] == "3.1.0"
    assert "TEMPERWARD_DATABASE_URL" in run("settings")


@pytest.mark.parametrize("command", ["openapi", "remind"])
def test_a_setting_that_cannot_work_is_told_in_one_line(command: str) -> None:
    said = run(command, expect=1, env={"TEMPERWARD_PUSH_SUBJECT": "me@localhost"})
    assert said.startswith("temperward: bad_push_subject")
    assert len(said.splitlines()) == 1
