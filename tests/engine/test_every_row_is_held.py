"""Every published row is held against the engine by a test that takes it as a parameter, or says why not.

The reasons stand in reference/row_reasons.json. A new row, or one whose test is gone, fails here.
"""

from __future__ import annotations

import importlib
import json
from pathlib import Path
from typing import Any

import pytest
import readings

HERE = Path(__file__).parent
REASONS = json.loads((HERE / "reference" / "row_reasons.json").read_text(encoding="utf-8"))
MODULES = [importlib.import_module(file.stem) for file in sorted(HERE.glob("test_against_*.py"))]
ROWS = {row["at"]: row for name in readings.files() for row in readings.rows(name)}


def rows_in(value: Any) -> list[str]:
    """Return where the published rows among a test's parameters stand."""
    if isinstance(value, dict):
        return [value["at"]] if "at" in value else []
    if isinstance(value, (list, tuple)):
        return [at for part in value for at in rows_in(part)]
    return []


def held_rows() -> set[str]:
    """Return where the rows stand that some test takes as a parameter."""
    found: set[str] = set()
    for module in MODULES:
        for name, test in vars(module).items():
            marks = getattr(test, "pytestmark", []) if name.startswith("test_") else []
            found.update(at for mark in marks if mark.name == "parametrize" for at in rows_in(mark.args[1]))
    return found


def matches(entry: dict[str, Any], row: dict[str, str]) -> bool:
    """Tell whether a reason speaks of this row: the same file, and every column it names alike."""
    if not row["at"].startswith(entry["file"] + ".csv:"):
        return False
    return all(row[column] in values for column, values in entry["where"].items())


def unheld(rows: dict[str, dict[str, str]]) -> list[str]:
    """Return where the rows stand that no test takes and no reason speaks of."""
    held = held_rows()
    return [
        at for at, row in rows.items() if at not in held and not any(matches(entry, row) for entry in REASONS)
    ]


def test_every_published_row_is_held_or_says_why_not() -> None:
    assert len(ROWS) > 1200
    assert unheld(ROWS) == []


def test_a_new_row_is_seen() -> None:
    new = {**ROWS["worked_checks.csv:2"], "at": "worked_checks.csv:999", "id": "NEW"}
    assert unheld({**ROWS, new["at"]: new}) == [new["at"]]


def test_no_reason_is_given_for_a_row_that_is_held() -> None:
    assert [at for at in held_rows() if any(matches(entry, ROWS[at]) for entry in REASONS)] == []


@pytest.mark.parametrize("entry", REASONS, ids=lambda entry: json.dumps(entry["where"]))
def test_every_reason_still_speaks_of_a_row(entry: dict[str, Any]) -> None:
    assert [at for at, row in ROWS.items() if matches(entry, row)]
    assert len(entry["reason"]) > 20
