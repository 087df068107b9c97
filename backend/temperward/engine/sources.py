"""Where the numbers come from."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine import facts as facts_module


def models(facts: dict[str, Any]) -> list[Any]:
    """Answer `models`: what each model misses published measurements by, as the tests computed it."""
    facts_module.only(facts, [])
    return list(data_files.load("models")["models"])


def sources(facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Answer `sources`: every source that a number may name, by id."""
    facts_module.only(facts, [])
    table = data_files.load("sources")
    rows = []
    for name in sorted(table):
        row = dict(table[name])
        row["id"] = name
        rows.append(row)
    return rows
